"""How what happened with a piece is fetched and worded: whose it was, services, checks, washes, repairs, loans.

The same kinds stand on the line of a client, of a piece she owns and of a unit; `piece_sources` is told by which column
of `OwnedPiece` the subject is found. An entry that was corrected stays on the line and says so.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery
from django.urls import reverse

from clients.models import Client
from fittings.models import (
    PARTS,
    ConditionCheck,
    Loan,
    Override,
    OwnedPiece,
    Repair,
    Service,
    StrandTest,
    Wash,
    Wear,
    WearEntry,
)
from fittings.models.entry import Entry
from fittings.services.told import told
from fittings.timeline.rows import Row, Source, day, moment, said

WHAT_IT_IS = "owned_piece__unit__variant__piece"


def _began(owned: OwnedPiece, imperial: bool) -> Row:
    return Row(
        at=owned.begun_at,
        word="Her piece",
        title=f"{owned} is hers since {day(owned.since)}",
        facts=said(("Entered by", owned.begun_by), ("Reference", owned.reference)),
        link="Open the piece",
        address=owned.get_absolute_url(),
    )


def _ended(owned: OwnedPiece, imperial: bool) -> Row:
    assert owned.ended_at is not None  # noqa: S101  # this source fetches ended ones only
    assert owned.until is not None  # noqa: S101  # as above
    return Row(
        at=owned.ended_at,
        word="No longer hers",
        title=f"{owned}: {owned.get_ended_display().lower()}, until {day(owned.until)}",
        facts=said(("Note", owned.ended_note), ("Entered by", owned.ended_by)),
        link="Open the piece",
        address=owned.get_absolute_url(),
    )


def _service(service: Service, imperial: bool) -> Row:
    assert service.done_at is not None  # noqa: S101  # this source fetches done ones only
    return _of_entry(
        service,
        "service",
        service.fitting.client.reference,
        at=service.done_at,
        word=service.get_kind_display(),
        title=f"{_on_what(service)}, by {service.done_by}",
        facts=(
            *told(service, imperial=imperial),
            *said(("Corrected by", _written(service) if service.is_correction and not service.struck_out else "")),
            *said(("Note", service.note)),
            *(
                (f"Let pass by {passed.owner}", f"{passed.finding} Because: {passed.reason}")
                for passed in _passed(service)
            ),
        ),
        link="Open the visit",
        address=service.fitting.get_absolute_url(),
    )


def _check(check: ConditionCheck, imperial: bool) -> Row:
    return _of_entry(
        check,
        "check",
        check.owned_piece.client.reference,
        at=check.checked_at,
        word="Looked over",
        title=f"{check.owned_piece}, by {check.checked_by}",
        facts=said(*((PARTS[part], Wear(grade).label) for part, grade in check.grades.items()), ("Seen", check.note)),
        link="Open the photos" if check.photo_set else "",
        address=check.photo_set.get_absolute_url() if check.photo_set else "",
    )


def _wear(entry: WearEntry, imperial: bool) -> Row:
    return _of_entry(
        entry,
        "wear",
        entry.owned_piece.client.reference,
        at=entry.recorded_at,
        word="How she wears it",
        title=f"{entry.owned_piece}, from {day(entry.told_on)}",
        facts=said(
            ("Days a week", "" if entry.days_per_week is None else str(entry.days_per_week)),
            ("Hours a day", "" if entry.hours_per_day is None else f"{entry.hours_per_day:g}"),
            ("Slept in", entry.get_worn_to_bed_display()),
            ("Swum in", entry.get_swum_in_display()),
            ("Water at home", entry.get_water_display()),
            ("Note", entry.note),
            ("Taken down by", entry.recorded_by),
        ),
    )


def _wash(wash: Wash, imperial: bool) -> Row:
    return _of_entry(
        wash,
        "wash",
        wash.owned_piece.client.reference,
        at=wash.recorded_at,
        word="Washed",
        title=f"{wash.owned_piece}, on {day(wash.washed_on)}{', with deep care' if wash.deep_care else ''}",
        facts=said(("Told by", wash.recorded_by or "herself, from her own address")),
    )


def _strand(test: StrandTest, imperial: bool) -> Row:
    return _of_entry(
        test,
        "strand",
        getattr(test, "her_reference", "") or "",
        at=test.tested_at,
        word="Strand test",
        title=f"{test.product} on {test.unit}: {'took it well' if test.held else 'did not take it well'}",
        facts=said(
            ("Seen", test.seen),
            ("Left on for", test.minutes and f"{test.minutes} minutes"),
            ("Lot", test.lot),
            ("Tried by", test.tested_by),
        ),
        link="Open the photos" if test.photo_set else "",
        address=test.photo_set.get_absolute_url() if test.photo_set else "",
    )


def _sent(repair: Repair, imperial: bool) -> Row:
    return Row(
        at=repair.sent_at,
        word="Sent for repair",
        title=f"{repair.owned_piece} to {repair.done_by}, on {day(repair.sent_on)}",
        facts=said(
            ("What", repair.what),
            ("Expected back", repair.expected_on and day(repair.expected_on)),
            ("Sent by", repair.sent_by),
        ),
    )


def _back(repair: Repair, imperial: bool) -> Row:
    assert repair.back_at is not None  # noqa: S101  # this source fetches those back only
    assert repair.back_on is not None  # noqa: S101  # as above
    return Row(
        at=repair.back_at,
        word="Back from repair",
        title=f"{repair.owned_piece} from {repair.done_by}, on {day(repair.back_on)}",
        facts=said(("How it came back", repair.found), ("Taken in by", repair.back_by)),
    )


def _lent(loan: Loan, imperial: bool) -> Row:
    return Row(
        at=loan.lent_at,
        word="Lent to her",
        title=f"{loan.unit}, due back on {day(loan.due_back_on)}",
        facts=said(("Lent on", day(loan.lent_on)), ("Note", loan.note), ("Lent by", loan.lent_by)),
    )


def _lent_back(loan: Loan, imperial: bool) -> Row:
    assert loan.back_at is not None  # noqa: S101  # this source fetches those back only
    assert loan.back_on is not None  # noqa: S101  # as above
    return Row(
        at=loan.back_at,
        word="Loan came back",
        title=f"{loan.unit}, on {day(loan.back_on)}",
        facts=said(("Taken in by", loan.back_by)),
    )


def piece_sources(column: str) -> tuple[Source[Any], ...]:
    """The kinds for a subject that `OwnedPiece` knows by this column: "client", "pk" (a piece she owns) or "unit"."""
    by_piece = "owned_piece" if column == "pk" else f"owned_piece__{column}"
    service_of = "fitting__client" if column == "client" else by_piece
    loan_of = {"client": "client", "pk": "instead_of", "unit": "unit"}[column]
    return (
        Source("pieces", "fittings.view_ownedpiece", "begun_at", lambda one: _pieces(column, one), _began),
        Source(
            "pieces",
            "fittings.view_ownedpiece",
            "ended_at",
            lambda one: _pieces(column, one).filter(until__isnull=False).select_related("ended_by"),
            _ended,
        ),
        Source("services", "clients.view_health", "done_at", lambda one: _services(service_of, one), _service),
        Source(
            "care",
            "clients.view_health",
            "checked_at",
            lambda one: _checks(by_piece, one),
            _check,
        ),
        Source(
            "care",
            "clients.view_health",
            "recorded_at",
            lambda one: _wears(by_piece, one),
            _wear,
        ),
        Source(
            "care",
            "clients.view_health",
            "recorded_at",
            lambda one: _washes(by_piece, one),
            _wash,
        ),
        Source("services", "clients.view_health", "tested_at", lambda one: _strand_tests(column, one), _strand),
        Source(
            "repairs and loans",
            "fittings.view_repair",
            "sent_at",
            lambda one: _repairs(by_piece, one).select_related("sent_by"),
            _sent,
        ),
        Source(
            "repairs and loans",
            "fittings.view_repair",
            "back_at",
            lambda one: _repairs(by_piece, one).filter(back_at__isnull=False).select_related("back_by"),
            _back,
        ),
        Source(
            "repairs and loans",
            "fittings.view_loan",
            "lent_at",
            lambda one: Loan.objects.filter(**{loan_of: one}).select_related("unit", "lent_by"),
            _lent,
        ),
        Source(
            "repairs and loans",
            "fittings.view_loan",
            "back_at",
            lambda one: Loan.objects.filter(**{loan_of: one}, back_at__isnull=False).select_related("unit", "back_by"),
            _lent_back,
        ),
    )


def _pieces(column: str, subject: Any) -> QuerySet[OwnedPiece]:
    return OwnedPiece.objects.filter(**{column: getattr(subject, "pk", subject)}).select_related(
        "unit__variant__piece", "begun_by"
    )


def _services(path: str, subject: Any) -> QuerySet[Service]:
    return (
        Service.objects.filter(**{path: subject}, done_at__isnull=False)
        .select_related(
            "fitting__client",
            "done_by",
            "planned_by",
            "corrects__done_by",
            "corrected_by__done_by",
            "candidate__variant",
            WHAT_IT_IS,
        )
        .prefetch_related(Prefetch("overrides", Override.objects.select_related("owner")))
    )


def _entries(model: type[Entry], path: str, subject: Any) -> QuerySet[Any]:
    entries: QuerySet[Any] = model.objects.filter(**{path: subject})  # type: ignore[attr-defined]  # abstract
    return entries.select_related("owned_piece__client", WHAT_IT_IS, "corrects", "corrected_by")


def _checks(path: str, subject: Any) -> QuerySet[Any]:
    return _entries(ConditionCheck, path, subject).select_related("checked_by", "photo_set")


def _wears(path: str, subject: Any) -> QuerySet[Any]:
    return _entries(WearEntry, path, subject).select_related("recorded_by")


def _washes(path: str, subject: Any) -> QuerySet[Any]:
    return _entries(Wash, path, subject).filter(service__isnull=True).select_related("recorded_by")


def _strand_tests(column: str, subject: Any) -> QuerySet[StrandTest]:
    owners = OwnedPiece.objects.filter(unit=OuterRef("unit")).order_by("-since", "-pk")
    units = OwnedPiece.objects.filter(**{column: getattr(subject, "pk", subject)}).values("unit")
    of_it = Q(unit__in=units) | (Q(unit=subject) if column == "unit" else Q(pk__in=()))
    tests: QuerySet[StrandTest] = (
        StrandTest.objects.filter(of_it)
        .annotate(her_reference=Subquery(owners.values("client__reference")[:1]))
        .select_related("unit", "tested_by", "photo_set", "corrects", "corrected_by")
    )
    return tests


def _repairs(path: str, subject: Any) -> QuerySet[Repair]:
    return Repair.objects.filter(**{path: subject}).select_related(WHAT_IT_IS)


def _of_entry(entry: Any, kind: str, client_reference: str, **row: Any) -> Row:
    """The row of an entry that may be corrected, or corrects another."""
    later = getattr(entry, "corrected_by", None)
    if entry.struck_out:
        row["title"] = f"Struck out: {row['title']}"
        row["facts"] = ()
    mended = ""
    if later is not None:
        mended = f"{'Struck out' if later.struck_out else 'Corrected'} later: {later.corrected_because}"
    elif entry.corrects is not None:
        mended = f"In place of what was entered before: {entry.corrected_because}"
    may_go = later is None and not entry.struck_out and client_reference
    return Row(
        **row,
        mended=mended,
        no_longer_counts=later is not None or entry.struck_out,
        strike_out=reverse("entry-strike-out", args=[client_reference, kind, entry.pk]) if may_go else "",
    )


def _on_what(service: Service) -> str:
    if service.owned_piece:
        return f"On {service.owned_piece}"
    return f"On {service.candidate.kept.name}" if service.candidate else "On her own hair"


def _written(service: Service) -> str:
    return f"{service.planned_by}, {moment(service.planned_at)}"


def _passed(service: Service) -> list[Override]:
    return list(service.overrides.all())


ENTRY_KINDS: Final[dict[str, tuple[Callable[[Client], QuerySet[Any]], Callable[[Any, bool], Row]]]] = {
    "service": (lambda client: _services("fitting__client", client), _service),
    "check": (lambda client: _checks("owned_piece__client", client), _check),
    "wear": (lambda client: _wears("owned_piece__client", client), _wear),
    "wash": (lambda client: _washes("owned_piece__client", client), _wash),
    "strand": (lambda client: _strand_tests("client", client), _strand),
}
"""Each kind of entry by its word in an address: those of a client, and how one is worded."""
