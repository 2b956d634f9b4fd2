"""Which few reasons make most of the returns: counts from the largest down, with the share reached so far.

Pareto's picture as quality control draws it: bars in falling order and a running share (Juran; common practice).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from pieces.review.rates import Rate, rate_of

K = TypeVar("K")
MOST_OF_THEM: Final = 0.8
"""The few are those that together make four fifths; common practice."""


@dataclass(frozen=True)
class Bar(Generic[K]):
    """rate: its count among all, with the interval; reached: the share of this and all larger ones together."""

    key: K
    rate: Rate
    reached: float
    is_of_the_few: bool

    @property
    def count(self) -> int:
        return self.rate.x


def pareto(counts: Mapping[K, int]) -> list[Bar[K]]:
    """Bars of what was counted at all, the largest first, equal ones in the order given; ValueError below zero.

    >>> [(bar.key, bar.count, bar.reached) for bar in pareto({"colour": 2, "slips": 6, "heavy": 0})]
    [('slips', 6, 0.75), ('colour', 2, 1.0)]
    """
    if any(count < 0 for count in counts.values()):
        raise ValueError("A count is zero or more.")
    total = sum(counts.values())
    bars: list[Bar[K]] = []
    before = 0
    for key, count in sorted(counts.items(), key=lambda item: -item[1]):
        if count:
            bars.append(Bar(key, rate_of(count, total), (before + count) / total, before < MOST_OF_THEM * total))
            before += count
    return bars
