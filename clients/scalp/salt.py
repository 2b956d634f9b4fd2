"""What is the SALT score (Severity of Alopecia Tool) of a loss map on this head?

Percent of hair lost in four regions of the scalp, weighted by their share of it: top 40, back 24, left and right 18
each. The score is a share of the scalp, not a diagnosis; it was made for alopecia areata and says nothing of the cause.
The published regions are drawn on pictures; here planes cut them on the unit hemisphere so that their areas on this
head are exactly those shares: the back lies behind a plane across the head, the top is what remains near the midline,
left and right what remains beside it. A cell that a plane crosses belongs to both regions by its share.

Source: Olsen E. A. et al., Alopecia areata investigational assessment guidelines, part II, J Am Acad Dermatol 51
(2004) 440-447: weights READ as dermatopics.dk and alopecia.org.uk give them, regions MEMORY; the bands S0 to S5 READ at
second hand. They are printed for whole numbers; here a score belongs to the band it has reached: 99.76 is still S4.
"""

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np

from clients.scalp.grid import GRID, Floats, samples
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap

SALT_WEIGHTS: Final = MappingProxyType({"top": 0.40, "left": 0.18, "right": 0.18, "back": 0.24})

_BAND_STARTS = ((100.0, "S5"), (75.0, "S4"), (50.0, "S3"), (25.0, "S2"))
_ROUNDING = 1e-9  # percent; keeps sums of floats from missing a band they have reached


@dataclass(frozen=True)
class SaltScore:
    """Percent of hair lost in each region and, weighted, in all."""

    top: float
    left: float
    right: float
    back: float
    total: float

    @property
    def band(self) -> str:
        """S0 (nothing lost), S1 (under 25), S2 (from 25), S3 (from 50), S4 (from 75) or S5 (all lost)."""
        if self.total <= _ROUNDING:
            return "S0"
        return next((band for start, band in _BAND_STARTS if self.total >= start - _ROUNDING), "S1")


def salt_score(loss_map: LossMap, head: Head) -> SaltScore:
    """The score of this map on this head, every part in percent lost (0 to 100)."""
    lost = {
        region: float((areas * loss_map.loss).sum() / areas.sum()) for region, areas in region_areas_cm2(head).items()
    }
    return SaltScore(**lost, total=sum(weight * lost[region] for region, weight in SALT_WEIGHTS.items()))


@lru_cache(maxsize=16)
def region_areas_cm2(head: Head) -> dict[str, Floats]:
    """Area of each cell that belongs to "top", "left", "right" and "back" on this head, each of shape (64, 64).

    Every cell is shared out whole, and each region's sum is its weight's share of the scalp (0.5 %).
    """
    cell, normals = samples()
    forward, leftward = normals[:, 0], normals[:, 1]
    area = (head.cell_areas_cm2.ravel() / np.maximum(np.bincount(cell, minlength=GRID * GRID), 1))[cell]
    scalp = area.sum()
    back = forward <= _cut(forward, area, SALT_WEIGHTS["back"] * scalp)
    outward = np.where(back, np.inf, np.abs(leftward))
    top = outward <= _cut(outward, area, SALT_WEIGHTS["top"] * scalp)
    side = ~back & ~top
    members = {"top": top, "left": side & (leftward > 0), "right": side & (leftward < 0), "back": back}
    shared = {}
    for region, member in members.items():
        areas = np.asarray(np.bincount(cell, area * member, minlength=GRID * GRID), dtype=float)
        shared[region] = areas.reshape(GRID, GRID)
        shared[region].setflags(write=False)
    return shared


def _cut(values: Floats, area: Floats, wanted: float) -> float:
    """The value below which samples add up to the wanted area."""
    order = np.argsort(values)
    return float(values[order[np.searchsorted(np.cumsum(area[order]), wanted)]])
