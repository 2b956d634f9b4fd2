"""What the salon's own record knows of one unit, under the names the rules ask for: was it coloured, lightened, tried?

A done service that counts today says that it was; an answer given with an earlier one says that it was not. Without
either it is unknown, and the rules ask. A strand test that is not on file has not been made, as with skin tests.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from fittings.models import Candidate, OwnedPiece, Service, StrandTest
from fittings.plan_facts import Facts
from pieces.models import Unit

COLOURING = (Service.Kind.COLOUR, Service.Kind.TONE)


@dataclass(frozen=True)
class UnitKnown:
    """None: nobody has said."""

    coloured: bool | None
    lightened: bool | None
    strand_test: StrandTest | None
    """The newest that counts."""

    @property
    def strand_held(self) -> bool:
        return self.strand_test is not None and self.strand_test.held

    def beside(self, told: Facts) -> Facts:
        """The facts about the unit, with what is told now: the record wins where it says that something was done."""
        facts: Facts = {"unit_strand_test": self.strand_held}
        for name, known in (("unit_coloured", self.coloured), ("unit_lightened_before", self.lightened)):
            if known or (known is not None and told.get(name) in (None, "")):
                facts[name] = known
        return {**told, **facts}


def known_of_unit(unit: Unit, *, before: datetime | None = None, without: Service | None = None) -> UnitKnown:
    """Two queries. before: as it was known at that moment; without: a service that is being corrected."""
    services = Service.objects.of_unit(unit).done()
    tests = StrandTest.objects.standing().filter(unit=unit)
    if before is not None:
        services, tests = services.filter(done_at__lt=before), tests.filter(tested_at__lte=before)
    if without is not None:
        services = services.exclude(pk=without.pk)
    said = list(services.values_list("kind", "facts"))
    colours = [facts.get("planned_colour") for kind, facts in said if kind in COLOURING]
    lightened = _known("lightener" in colours, [facts.get("unit_lightened_before") for _, facts in said])
    coloured = _known(bool(colours) or lightened is True, [facts.get("unit_coloured") for _, facts in said])
    return UnitKnown(coloured=coloured, lightened=lightened, strand_test=tests.first())


def unit_of(candidate: Candidate | None, owned_piece: OwnedPiece | None) -> Unit | None:
    """The very unit: the one she owns, or the one that was on her head when the piece was tried, if that was noted."""
    if owned_piece is not None:
        return owned_piece.unit
    if candidate is None:
        return None
    look = candidate.try_ons.filter(unit__isnull=False).select_related("unit").last()
    return look.unit if look else None


def _known(was_done: bool, answers: Collection[object]) -> bool | None:
    if was_done or any(answer in (True, "yes") for answer in answers):
        return True
    return False if any(answer in (False, "no") for answer in answers) else None
