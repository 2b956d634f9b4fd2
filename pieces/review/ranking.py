"""Which groups come back most, without letting small counts lead: each with its rate, its likely share and a place.

Groups are placed by their likely share (`shrinking`), never by the raw one; a group with fewer counted than
FEWEST_TO_RANK stands in no ranking, and is listed apart with its interval.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from pieces.review.rates import CONFIDENCE, Rate, rate_of
from pieces.review.shrinking import Shrunk, shrunk

K = TypeVar("K")


@dataclass(frozen=True)
class Standing(Generic[K]):
    """A group's rate as counted (Wilson), what it likely is (shrunk), and whether that differs from all together."""

    key: K
    rate: Rate
    likely: Shrunk
    overall: float | None

    @property
    def is_above(self) -> bool:
        """The whole interval of its likely share lies above the share of all groups together."""
        return self.overall is not None and self.rate.may_be_ranked and self.likely.low > self.overall

    @property
    def is_below(self) -> bool:
        return self.overall is not None and self.rate.may_be_ranked and self.likely.high < self.overall


@dataclass(frozen=True)
class Ranking(Generic[K]):
    """ranked: the highest likely share first; too_few: those with fewer than FEWEST_TO_RANK counted, most first."""

    overall: Rate
    ranked: list[Standing[K]]
    too_few: list[Standing[K]]


def rank(counts: Mapping[K, tuple[int, int]], *, confidence: float = CONFIDENCE) -> Ranking[K]:
    """Rank groups by how often x happened among n; raises ValueError unless 0 ≤ x ≤ n for each."""
    overall = rate_of(sum(x for x, _ in counts.values()), sum(n for _, n in counts.values()), confidence=confidence)
    likely = shrunk(list(counts.values()), confidence=confidence)
    standings = [
        Standing(key, rate_of(x, n, confidence=confidence), share, overall.share)
        for (key, (x, n)), share in zip(counts.items(), likely, strict=True)
    ]
    ranked = [standing for standing in standings if standing.rate.may_be_ranked]
    too_few = [standing for standing in standings if not standing.rate.may_be_ranked]
    return Ranking(
        overall,
        sorted(ranked, key=lambda standing: (-(standing.likely.share or 0.0), -standing.rate.n)),
        sorted(too_few, key=lambda standing: -standing.rate.n),
    )
