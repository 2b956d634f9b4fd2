"""What was done to one owned piece, or to a client's own hair: every done service, newest first, with who and when.

Corrections are shown as corrections: an entry that was corrected or struck out stays and says by whom and why. The
words of what was used are those of `fittings.services.told`; what a rule stopped and the owner let pass is printed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet

from clients.models import Client
from fittings.models import OwnedPiece, Service, StrandTest
from fittings.models.entry import Entry as Kept
from fittings.paper.measured import Fact
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section, Sheet, facts, sheet
from fittings.services.told import told
from salon.models import Salon

NAME = "Service record"
NONE_YET = "Nothing has been logged yet."


def service_record(owned: OwnedPiece, *, salon: Salon, on: date) -> Sheet:
    """Everything done to one piece, in the visit it was chosen in too; a fixed number of queries."""
    words = SalonWords.of(salon)
    mine = Q(owned_piece=owned)
    if owned.candidate_id:
        mine |= Q(candidate=owned.candidate_id)
    tests = StrandTest.objects.filter(unit=owned.unit, struck_out=False)
    return sheet(
        NAME,
        owned.client,
        salon=salon,
        on=on,
        subject=owned.reference,
        heading=f"What was done to {owned}",
        sections=(
            services_section("Services, newest first", Service.objects.filter(mine), words),
            strand_tests_section(tests, words),
        ),
    )


def own_hair_record(client: Client, *, salon: Salon, on: date) -> Sheet:
    """Everything done to her own hair."""
    own = Service.objects.filter(fitting__client=client, owned_piece__isnull=True, candidate__isnull=True)
    return sheet(
        NAME,
        client,
        salon=salon,
        on=on,
        subject="own hair",
        heading="What was done to your own hair",
        sections=(services_section("Services, newest first", own, SalonWords.of(salon)),),
    )


def services_section(heading: str, services: QuerySet[Service], words: SalonWords, *, on_what: bool = False) -> Section:
    """`on_what`: say of each to what it was done, for a list of several pieces."""
    done = services.filter(done_at__isnull=False, struck_out=False)
    rows = (
        done.select_related(
            "done_by",
            "fitting",
            "candidate__fitting",
            "owned_piece__unit__variant__piece",
            "corrects",
            "corrected_by",
            "corrected_by__done_by",
        )
        .prefetch_related("overrides__owner")
        .order_by("-done_at", "-pk")
    )
    return Section(heading, entries=tuple(_service(row, words, on_what=on_what) for row in rows), empty=NONE_YET)


def strand_tests_section(tests: QuerySet[StrandTest], words: SalonWords) -> Section:
    rows = tests.select_related("tested_by", "unit", "corrects", "corrected_by__tested_by")
    return Section(
        "Strand tests of the unit",
        entries=tuple(
            Entry(
                f"{test.product}, {words.moment(test.tested_at)}",
                facts=facts(
                    ("Result", "the strand took it well" if test.held else "the strand did not take it well"),
                    ("Seen", test.seen),
                    ("Left on for", f"{test.minutes} minutes" if test.minutes else ""),
                    ("Lot", test.lot),
                    ("Tried by", str(test.tested_by)),
                ),
                mended=mended(test, _by(test, "tested")),
                stands=still_stands(test),
            )
            for test in rows
        ),
        empty="None has been recorded.",
    )


def mended(entry: Kept, corrected: str) -> str:
    """What became of an entry, or what it took the place of; empty for one that stands as it was made."""
    later = getattr(entry, "corrected_by", None)
    said = []
    if later is not None:
        how = "Struck out" if later.struck_out else "Corrected by a later entry"
        said.append(f"{how}{corrected}: {later.corrected_because}")
    if entry.is_correction:
        said.append(f"A correction of an earlier entry: {entry.corrected_because}")
    return " ".join(f"{one.rstrip('.')}." for one in said)


def still_stands(entry: Kept) -> bool:
    return getattr(entry, "corrected_by", None) is None


def _service(service: Service, words: SalonWords, *, on_what: bool) -> Entry:
    assert service.done_at is not None  # noqa: S101  # only done ones are asked for
    lines = told(service, imperial=words.length_unit == "in")
    return Entry(
        f"{service.get_kind_display()}, {words.moment(service.done_at)}",
        facts=(
            *facts(("On", _on_what(service) if on_what else "")),
            *(Fact(name, says) for name, says in lines),
            *facts(("Note", service.note), ("Done by", f"{service.done_by}, in visit {service.fitting.reference}")),
            *_passed(service),
        ),
        mended=mended(service, _by(service, "done")),
        stands=still_stands(service),
    )


def _on_what(service: Service) -> str:
    if service.owned_piece:
        return f"{service.owned_piece}, {service.owned_piece.reference}"
    return service.candidate.name if service.candidate else "own hair"


def _passed(service: Service) -> Iterable[Fact]:
    return (
        Fact(f"A stop that {one.owner} let pass", f"{one.finding} Because: {one.reason}")
        for one in service.overrides.all()
    )


def _by(entry: Kept, verb: str) -> str:
    """“ by Imke”, where a later entry says who made it; one that only strikes out is told on the line with who."""
    later = getattr(entry, "corrected_by", None)
    who = getattr(later, f"{verb}_by", None) if later is not None else None
    return f" by {who}" if who else ""
