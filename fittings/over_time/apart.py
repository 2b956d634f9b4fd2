"""How far two paintings of one head lie apart in this salon, and whether enough heads were painted twice to say it.

Pairs of all stylists are taken together, each pair by one hand; what two hands differ by is not in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from clients.models import Repainting
from clients.scalp.repeatability import Repeatability, repeatability


@dataclass(frozen=True)
class Apart:
    """Of the share of hair lost (percent) and of the area with little hair (cm²); None while pairs are missing."""

    pairs: int
    least: int
    share: Repeatability | None
    area: Repeatability | None

    @property
    def missing(self) -> int:
        """How many more heads must be painted twice before an interval is shown."""
        return max(self.least - self.pairs, 0)


def paintings_apart(numbers: Mapping[str, float]) -> Apart:
    """One query; `numbers` are the house rules in force."""
    kept = Repainting.objects.finished().values_list("salt_difference", "area_difference_cm2")
    pairs = [(float(share), float(area)) for share, area in kept if share is not None and area is not None]
    least = int(numbers["repaint_least"])
    if len(pairs) < least:
        return Apart(len(pairs), least, None, None)
    shares, areas = zip(*pairs, strict=True)
    return Apart(len(pairs), least, repeatability(shares), repeatability(areas))
