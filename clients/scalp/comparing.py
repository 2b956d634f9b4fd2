"""What has changed between two loss maps of one head?

The change is now less then, in points of percent remaining: below zero where there is less hair than before. Maps know
no head, so two of them lie on each other cell by cell whatever the tapes; for scores and areas both are laid on ONE
head, so that a tape read differently is not taken for hair. Whether a change is more than two paintings of one head lie
apart is `repeatability`'s to say, and why hair changes is nobody's here.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import zone_means
from clients.scalp.salt import SaltScore, salt_score
from clients.scalp.thin_area import thin_area_cm2

SEEN_POINTS: Final = 12.5  # half a step of the brush; a smaller change of a cell is not drawn as one


@dataclass(frozen=True)
class Measured:
    """What one map comes to on one head: the share of hair lost, and the area with little hair left."""

    salt: SaltScore
    thin_cm2: float


@dataclass(frozen=True)
class MapChange:
    """Two maps on one head, and what lies between them."""

    points: Floats
    """(64, 64), read-only: percent remaining now less then; 0 outside the disk."""
    then: Measured
    now: Measured
    points_by_zone: dict[str, float]
    """The mean over each of the nine zones, by area on this head."""
    less_cm2: float
    """Area on which there is less hair than before, by SEEN_POINTS or more."""
    more_cm2: float

    @property
    def salt_points(self) -> float:
        """Percent of all hair lost since then; below zero when there is more hair than before."""
        return self.now.salt.total - self.then.salt.total

    @property
    def thin_cm2(self) -> float:
        """By how much the area with little hair has grown."""
        return self.now.thin_cm2 - self.then.thin_cm2

    @property
    def is_none(self) -> bool:
        """Whether the two maps are the same in every cell."""
        return not self.points.any()


@lru_cache(maxsize=256)
def measured(loss_map: LossMap, head: Head) -> Measured:
    return Measured(salt_score(loss_map, head), thin_area_cm2(loss_map, head))


@lru_cache(maxsize=64)
def map_change(then: LossMap, now: LossMap, head: Head) -> MapChange:
    """What lies between two maps, both on this head."""
    points = now.density - then.density
    points.setflags(write=False)
    before, after = zone_means(then, head), zone_means(now, head)
    areas = head.cell_areas_cm2
    return MapChange(
        points=points,
        then=measured(then, head),
        now=measured(now, head),
        points_by_zone={zone: after[zone] - before[zone] for zone in after},
        less_cm2=float(areas[points <= -SEEN_POINTS].sum()),
        more_cm2=float(areas[points >= SEEN_POINTS].sum()),
    )


def as_percent(points: Floats) -> str:
    """A change in the stored form of a map, for the head that turns: 50 stands for none, 0 for 50 points less or more
    than that, 100 for 50 points more or more than that."""
    return LossMap(np.clip(points + 50, 0, 100)).to_hex()
