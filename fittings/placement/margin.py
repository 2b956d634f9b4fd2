"""How far does a base reach past the thinning, and on which side does it fall shortest?

Distances run along the tape coordinates: sideways to the base's side, or lengthwise to its front or back edge. A point
on the edge of the thinning that lies under the base has the shortest of them as its margin; one that sticks out has the
nearest edge's as a negative one; the smallest margin of all is the base's. At the hairline there is nothing to reach
past: a base set at the front hairline (or ending at the nape) owes no margin there. Millimetres.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from clients.scalp.fine_map import next_door
from clients.scalp.grid import GRID, INSIDE, Floats, unit_normals
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.raster import Profile

_NEAR_HAIRLINE = 0.03  # of front to nape: two map cells, about 11 mm
_FRONT_HAIRLINE = 0.125  # of the circumference to each side: the front quarter of the hairline
AT_HAIRLINE_MM: Final = 1.0
SIDES: Final = ("front", "back", "left", "right")


@dataclass(frozen=True, eq=False)
class Thinning:
    """Where thinning ends on one head: (s, t) in mm of points along its edge, (n, 2), and how it meets the front."""

    edge_mm: Floats
    front_mm: float | None
    """s of the foremost thinning behind the front hairline (not before the ears); None when there is none."""
    reaches_hairline: bool
    """Whether thinning reaches the front hairline between the temples."""


@lru_cache(maxsize=8)
def thinning(head: Head, loss_map: LossMap, loss_below_percent: float) -> Thinning:
    """The edge of all that has less remaining hair than that."""
    edge = head.tape_coordinates(_edge_normals(loss_map, loss_below_percent) * head.semi_axes_mm)
    behind_front = edge[np.abs(edge[:, 1]) <= _FRONT_HAIRLINE * head.tapes_mm.circumference_mm, 0]
    front = float(behind_front.min()) if len(behind_front) else None
    return Thinning(edge, front, front is not None and front <= _NEAR_HAIRLINE * head.tapes_mm.front_to_nape_mm)


def _edge_normals(loss_map: LossMap, below: float) -> Floats:
    """Unit normals, (n, 3), of where thinning ends between the middles of a thin cell and a neighbour that is not thin.

    Where loss fades out that is where the density passes `below`; on a sharp edge it is where the edge cuts off the
    part of the two cells that is lost. A thin cell at the rim has its edge on the rim.
    """
    loss, inside = np.pad(loss_map.loss, 1), np.pad(INSIDE, 1)
    lowest, highest, sharp = (np.pad(one, 1) for one in next_door(loss_map))
    thin = inside & (loss > 100 - below)
    middles = 1 - (2 * np.arange(-1, GRID + 1) + 1) / GRID
    places = np.stack(np.meshgrid(middles, middles, indexing="ij"), axis=-1)
    found = []
    for axis, towards in ((0, -1), (0, 1), (1, -1), (1, 1)):
        ends = thin & ~np.roll(thin, towards, axis)
        here, there = loss[ends], np.roll(loss, towards, axis)[ends]
        faded = (here - (100 - below)) / (here - there)
        spread = np.maximum(highest - lowest, 1e-9)[ends]
        cut = (here + there - 2 * lowest[ends]) / spread - 0.5
        share = faded + sharp[ends] * (np.clip(cut, -0.5, 1.5) - faded)
        share = np.where(np.roll(inside, towards, axis)[ends], share, 1.0)[:, None]
        found.append(places[ends] + share * (np.roll(places, towards, axis)[ends] - places[ends]))
    return unit_normals(*np.concatenate(found).T)


def margin_to_edge(
    edge_mm: Floats, profile: Profile, set_back_mm: float, side_shift_mm: float, front_to_nape_mm: float
) -> tuple[float, str]:
    """Smallest margin in mm and its side ("front", "back", "left" or "right").

    edge_mm: (n, 2), see `Thinning`. Infinite and "" when nothing counts as thinning.
    """
    if not len(edge_mm):
        return math.inf, ""
    margins, sides = _margins(edge_mm, profile, set_back_mm, side_shift_mm, front_to_nape_mm)
    worst = int(margins.argmin())
    return float(margins[worst]), SIDES[sides[worst]]


def margins_by_side(
    edge_mm: Floats, profile: Profile, set_back_mm: float, side_shift_mm: float, front_to_nape_mm: float
) -> dict[str, float]:
    """The smallest margin in mm on each of the four sides; infinite on a side where the thinning has no edge."""
    if not len(edge_mm):
        return dict.fromkeys(SIDES, math.inf)
    margins, sides = _margins(edge_mm, profile, set_back_mm, side_shift_mm, front_to_nape_mm)
    return {side: float(margins[sides == at].min(initial=math.inf)) for at, side in enumerate(SIDES)}


def _margins(
    edge_mm: Floats, profile: Profile, set_back_mm: float, side_shift_mm: float, front_to_nape_mm: float
) -> tuple[Floats, NDArray[np.intp]]:
    """The margin at every point of the edge and which of SIDES it is on, both (n,)."""
    u, v = edge_mm[:, 0] - set_back_mm, edge_mm[:, 1] - side_shift_mm
    out, widths, step = np.abs(v), profile.half_widths_mm, profile.step_mm
    on_length = (u >= 0) & (u <= profile.length_mm)
    sideways = np.where(on_length, np.interp(u, profile.u_mm, widths) - out, -np.inf)
    front = u - first_reaching(widths, out) * step
    back = profile.length_mm - first_reaching(widths[::-1], out) * step - u
    if set_back_mm <= AT_HAIRLINE_MM:
        front = np.where(front >= 0, np.inf, front)
    if set_back_mm + profile.length_mm >= front_to_nape_mm - AT_HAIRLINE_MM:
        back = np.where(back >= 0, np.inf, back)
    lengthwise = np.where(out <= widths.max(), np.minimum(front, back), -np.inf)
    under = (sideways >= 0) & (lengthwise >= 0)
    margins = np.where(under, np.minimum(sideways, lengthwise), np.maximum(sideways, lengthwise))
    by_side, by_front = sideways == margins, front <= back
    past_end, past_side = np.maximum(-u, u - profile.length_mm), out - widths.max()
    past_corner = np.isneginf(margins)
    margins = np.where(past_corner, -np.hypot(past_end, past_side), margins)
    by_side = np.where(past_corner, past_side > past_end, by_side)
    by_front = np.where(past_corner, u < 0, by_front)
    return margins, np.where(by_side, np.where(v > 0, 2, 3), np.where(by_front, 0, 1))


def first_reaching(widths: Floats, out: Floats) -> Floats:
    """Index of the first sample at least as wide as `out`, in its shape; past the end when none is."""
    return np.asarray(np.searchsorted(np.maximum.accumulate(widths), out), dtype=float)
