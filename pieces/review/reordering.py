"""What should be ordered, and how many: by demand, lead time, and what consults asked for and did not find.

Demand of a variant is what was sold and did not come back, and what was asked for in vain, in so many days. How many
will be wanted until the next order can come is uncertain twice: the rate is only known from few sales, and sales fall
as they fall. A Poisson count whose rate is known to a gamma distribution is negative binomial (Gelman et al., Bayesian
Data Analysis, section 2.6; MEMORY). An order fills the drawer up to the count that suffices four times in five.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Generic, TypeVar

from pieces.review.rates import Rate, rate_of

K = TypeVar("K", bound=Hashable)

SERVICE: Final = 0.8
"""The drawer suffices four times in five: what sells twice a year is kept, what sells once is ordered when it is asked
for; common practice."""
REVIEW_DAYS: Final = 30
"""The owner orders about once a month; common practice."""
LEAD_DAYS: Final = 28
"""Taken where a maker has sent too few orders to tell; common practice."""
_PRIOR_COUNT: Final = 0.5  # Jeffreys' prior of a Poisson rate: half a sale before any was seen


@dataclass(frozen=True)
class Stocked(Generic[K]):
    """One variant as it stands.

    size, shade: what a client would take another for; asked: consults of the span that asked for it in vain.
    in_drawer: units that can be sold; on_the_way: ordered, and for no client. can_be_ordered: still in the catalogue.
    """

    key: K
    size: Hashable
    shade: Hashable
    sold: int = 0
    came_back: int = 0
    asked: int = 0
    in_drawer: int = 0
    on_the_way: int = 0
    lead_days: int = LEAD_DAYS
    can_be_ordered: bool = True

    @property
    def can_be_had(self) -> bool:
        return self.can_be_ordered or self.in_drawer + self.on_the_way > 0


@dataclass(frozen=True)
class Proposed(Generic[K]):
    """Order `count` of it: wanted is what is expected to go until the next order comes, enough the count that suffices.

    asked: consults that asked for it in vain; asked_for_others: for a piece no longer made, of the same size and shade.
    """

    key: K
    count: int
    wanted: float
    enough: int
    asked: int
    asked_for_others: int
    lead_days: int


@dataclass(frozen=True)
class Proposal(Generic[K]):
    """lines: what was asked for in vain first, then by how much is missing.

    found_now, found_then: of the consults that asked in vain, how many would find it today, and once this has come.
    """

    lines: list[Proposed[K]]
    found_now: Rate
    found_then: Rate


def propose(
    stocked: Sequence[Stocked[K]], *, span_days: int, review_days: int = REVIEW_DAYS, service: float = SERVICE
) -> Proposal[K]:
    """What to order; raises ValueError for a span of no days or a service that is no share."""
    if span_days < 1 or review_days < 0 or not 0 < service < 1:
        raise ValueError("Demand is counted over one day or more, and service is a share between 0 and 1.")
    taken_on = _asked_for_what_is_no_longer_made(stocked)
    lines = []
    for variant in stocked:
        others = taken_on.get(variant.key, 0)
        demand = max(variant.sold - variant.came_back, 0) + variant.asked + others
        if not (variant.can_be_ordered and demand):
            continue
        ahead_days = variant.lead_days + review_days
        enough = max(suffices(demand, span_days, ahead_days, service), 1 if variant.asked + others else 0)
        missing = enough - variant.in_drawer - variant.on_the_way
        if missing > 0:
            wanted = demand / span_days * ahead_days
            lines.append(Proposed(variant.key, missing, wanted, enough, variant.asked, others, variant.lead_days))
    lines.sort(key=lambda line: (-(line.asked + line.asked_for_others), -line.count, -line.wanted))
    return Proposal(lines, *_found(stocked, taken_on, {line.key for line in lines}))


@lru_cache(maxsize=4096)  # a thousand variants share a few dozen answers
def suffices(demand: int, span_days: int, ahead_days: int, service: float = SERVICE) -> int:
    """The least count that meets the demand of the days ahead with that chance, after `demand` in `span_days`.

    >>> suffices(12, 360, 60), suffices(2, 365, 58), suffices(1, 365, 58)
    (3, 1, 0)
    """
    from scipy.stats import nbinom

    shape = demand + _PRIOR_COUNT
    return int(nbinom.ppf(service, shape, span_days / (span_days + ahead_days))) if ahead_days else 0


def _asked_for_what_is_no_longer_made(stocked: Sequence[Stocked[K]]) -> Mapping[K, int]:
    """By variant: consults that asked for another of its size and shade which can't be had any more."""
    best: dict[tuple[Hashable, Hashable], Stocked[K]] = {}
    for variant in stocked:
        if variant.can_be_ordered:
            kind = (variant.size, variant.shade)
            if kind not in best or variant.sold - variant.came_back > best[kind].sold - best[kind].came_back:
                best[kind] = variant
    asked: dict[K, int] = {}
    for variant in stocked:
        if not variant.can_be_had and variant.asked and (instead := best.get((variant.size, variant.shade))):
            asked[instead.key] = asked.get(instead.key, 0) + variant.asked
    return asked


def _found(stocked: Sequence[Stocked[K]], taken_on: Mapping[K, int], ordered: set[K]) -> tuple[Rate, Rate]:
    """Of the consults that asked in vain, those whose piece lies there now, and those for whom it will."""
    asked = sum(variant.asked for variant in stocked)
    now = then = 0
    for variant in stocked:
        consults = taken_on.get(variant.key, 0) + (variant.asked if variant.can_be_had else 0)
        now += consults if variant.in_drawer else 0
        then += consults if variant.in_drawer or variant.on_the_way or variant.key in ordered else 0
    return rate_of(now, asked), rate_of(then, asked)
