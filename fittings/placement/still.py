"""Does a base that is worn still cover: where does thinning reach past it, and which edges of the thinning have moved?

A base in one seat against two maps of one head: the one it was chosen by and the newest. What a placement reports is
`placing`'s; this adds all four sides, where a placement names the worst, and the way each edge of the thinning has
gone. Millimetres along the tape coordinates.
"""

import math
from dataclasses import dataclass
from typing import Final

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.margin import SIDES, margins_by_side, thinning
from fittings.placement.placing import Placement
from fittings.placement.raster import Outline, scalp_raster

MOVED_MM: Final = 8.0  # a map cell and a half: an edge that was painted on the next cell has not moved


def margins_in_seat(
    head: Head, loss_map: LossMap, outline: Outline, placement: Placement, house_rules: HouseRules
) -> dict[str, float]:
    """How far a base in the seat of `placement` reaches past the thinning on each of SIDES, negative where the thinning
    reaches past it, infinite where there is no thinning on that side."""
    raster = scalp_raster(head, loss_map)
    return margins_by_side(
        thinning(head, loss_map, house_rules.loss_below_percent).edge_mm,
        raster.profile(outline, turned=placement.turned),
        placement.set_back_mm,
        placement.side_shift_mm,
        raster.length_mm,
    )


@dataclass(frozen=True)
class EdgesMoved:
    """How far each edge of the thinning has gone outwards; below zero where it has drawn back."""

    front: float
    back: float
    left: float
    right: float

    @property
    def outwards(self) -> tuple[str, ...]:
        """The sides on which thinning has clearly spread."""
        return tuple(side for side in SIDES if getattr(self, side) >= MOVED_MM)


def edges_moved(head: Head, then: LossMap, now: LossMap, below_percent: float) -> EdgesMoved:
    """Between two maps on one head. Where thinning has begun since then every edge has moved without end."""
    before, after = (_reach(thinning(head, one, below_percent).edge_mm) for one in (then, now))
    return EdgesMoved(*(0.0 if new == old else new - old for old, new in zip(before, after, strict=True)))


def _reach(edge_mm: Floats) -> tuple[float, float, float, float]:
    """How far thinning reaches towards each of SIDES; minus infinity when there is none."""
    if not len(edge_mm):
        return (-math.inf,) * 4
    (s_least, t_least), (s_most, t_most) = edge_mm.min(axis=0), edge_mm.max(axis=0)
    return float(-s_least), float(s_most), float(t_most), float(-t_least)
