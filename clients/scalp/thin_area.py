"""How much of this head's scalp has little hair left, in cm²?

Counted is what has less than a given percent remaining, 40 to begin with: the house's own figure for where a clip finds
no hold (common practice). Where thinning ends within a cell, only its thin part counts (`fine_map`). An area on the
curved scalp; flat photographs give smaller ones and are not to be set beside it.
"""

from functools import lru_cache
from typing import Final

from clients.scalp.fine_map import loss_at_samples
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap

LITTLE_HAIR_PERCENT: Final = 40.0
_ROUNDING = 1e-9  # percent; exactly 40 % remaining is not under 40


@lru_cache(maxsize=256)  # a page of visits asks for every map each time it is opened
def thin_area_cm2(loss_map: LossMap, head: Head, below_percent: float = LITTLE_HAIR_PERCENT) -> float:
    """Area of this head with less than `below_percent` of its hair remaining; 0 to the head's own area."""
    thin = loss_at_samples(loss_map) > 100 - below_percent + _ROUNDING
    return float(head.sample_areas_cm2[thin].sum())
