"""Which of the pieces chosen in a visit she can take home today, and which she has already."""

from __future__ import annotations

from dataclasses import dataclass

from fittings.models import Candidate, Fitting, OwnedPiece, TryOn
from pieces.models import Unit
from pieces.stock import IN_STOCK

MOST_SHOWN = 6


@dataclass(frozen=True)
class Chosen:
    """A piece that was chosen: what she has of it already, or the units in stock that she can take."""

    candidate: Candidate
    owned: OwnedPiece | None
    units: list[Unit]


def chosen_to_take_home(fitting: Fitting) -> list[Chosen]:
    """Three queries. The very unit she tried on comes first, then those for sale before those for trying on."""
    looks = list(
        fitting.try_ons.exclude(outcome=TryOn.Outcome.TRIED)
        .select_related("candidate__fitting")
        .order_by("outcome", "pk")
    )
    if not looks:
        return []
    hers = OwnedPiece.objects.filter(candidate__in=[look.candidate_id for look in looks])
    owned = {one.candidate_id: one for one in hers}
    in_stock = Unit.objects.filter(state__in=IN_STOCK, variant__in=[look.candidate.variant_id for look in looks])
    units = list(in_stock.order_by("purpose", "number"))
    return [
        Chosen(
            candidate=look.candidate,
            owned=owned.get(look.candidate_id),
            units=[
                *(unit for unit in units if unit.pk == look.unit_id),
                *(unit for unit in units if unit.pk != look.unit_id and unit.variant_id == look.candidate.variant_id),
            ][:MOST_SHOWN],
        )
        for look in looks
    ]
