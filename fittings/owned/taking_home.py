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
    chosen = list(
        fitting.try_ons.exclude(outcome=TryOn.Outcome.TRIED)
        .select_related("candidate__fitting")
        .order_by("outcome", "pk")
    )
    if not chosen:
        return []
    owned = {
        one.candidate_id: one for one in OwnedPiece.objects.filter(candidate__in=[one.candidate for one in chosen])
    }
    units: dict[int, list[Unit]] = {}
    for unit in Unit.objects.filter(
        variant__in=[one.candidate.variant_id for one in chosen], state__in=IN_STOCK
    ).order_by("purpose", "number"):
        units.setdefault(unit.variant_id, []).append(unit)
    return [
        Chosen(
            look.candidate,
            owned.get(look.candidate_id),
            sorted(units.get(look.candidate.variant_id, []), key=lambda unit, tried=look.unit_id: unit.pk != tried)[
                :MOST_SHOWN
            ],
        )
        for look in chosen
    ]
