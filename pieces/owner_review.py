"""What was sold, what came back and why: the rows of the review, and their sums by group.

A piece counts as sold on the day it was handed over, and as returned when it was taken back since, whenever that was.
Whether it was kept is asked only of what was handed over long enough ago. What lies in the drawers is for
`stock_review`, what to order for `reorder_review`, rates and intervals for the pure `pieces.review`; what visits add is
for `fittings.review`. Money: minor units, without tax, of the salon's currency.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Final

from django.db.models import Count, F, Q, QuerySet, Sum

from pieces.models import Return, ReturnReason, Sale, SaleLine
from pieces.review.in_common import Factor, Side, Split
from pieces.review.spans import KEPT_AFTER_DAYS
from pieces.review_asked import Asked, Unindexed, fold, summed, total
from pieces.review_groups import Group

JUDGED_AFTER_DAYS: Final = KEPT_AFTER_DAYS[0]
"""Younger sales are left out of rates of return: most of what comes back would still be to come."""
TAKEN_BACK: Final = Q(is_live=False)
"""Of a line that was handed over: such a sale can't be cancelled any more."""


def sold_lines(asked: Asked) -> QuerySet[SaleLine]:
    """The pieces handed over in the span, whether or not they came back."""
    return SaleLine.objects.sold().filter(handed_over_at__gte=asked.since, handed_over_at__lt=asked.until)


def sold_from(since: datetime, until: datetime) -> QuerySet[SaleLine]:
    """Lines handed over from one moment to just before another, for sums over most of them (see `Unindexed`)."""
    lines = SaleLine.objects.alias(sold_at=Unindexed(F("handed_over_at")))
    return lines.filter(sold_at__gte=since, sold_at__lt=until)


def judged_lines(asked: Asked) -> QuerySet[SaleLine]:
    """Of those, the ones that were handed over long enough ago for a rate of return."""
    return sold_lines(asked).filter(asked.old_enough(JUDGED_AFTER_DAYS))


def with_known_cost(asked: Asked) -> Q:
    """Lines that a margin rests on: not taken back, in the salon's currency, at a cost that was written down."""
    costed = Q(cost_minor__isnull=False) & ~TAKEN_BACK
    return costed & Q(sale__currency=asked.currency) if sells_in_others(asked.currency) else costed


def sells_in_others(currency: str) -> bool:
    """Whether any sale was in another currency; asking each line for it would read every sale."""
    return Sale.objects.exclude(currency=currency).exists()


def taken_back_within(days: int, asked: Asked) -> Q:
    """Returns within so many days, of sales that are old enough to know."""
    return asked.old_enough(days, line="line__") & Q(days_since__lte=days)


@dataclass
class Sold:
    """Sums over pieces sold. judged: long enough ago for a rate of return; old_*: to know whether they were kept.

    net, spent: takings and cost of what was not taken back, where the cost is known (`costed`).
    """

    sold: int = 0
    returned: int = 0
    judged: int = 0
    judged_back: int = 0
    old_30: int = 0
    back_30: int = 0
    old_90: int = 0
    back_90: int = 0
    net_minor: int = 0
    spent_minor: int = 0
    costed: int = 0
    days_until_sold: int = 0

    @property
    def kept_30(self) -> int:
        return self.old_30 - self.back_30

    @property
    def kept_90(self) -> int:
        return self.old_90 - self.back_90


@dataclass(frozen=True)
class WhatWasSold:
    """by_reason: how many came back for each reason, by its key and name, in the order of the salon's list."""

    by_group: Mapping[Group, Sold]
    by_reason: Mapping[tuple[int, str], int]

    @cached_property
    def all(self) -> Sold:
        return total(Sold, self.by_group.values())


def what_was_sold(asked: Asked) -> WhatWasSold:
    """What was sold in the span and what became of it, in four queries."""
    key = asked.key()
    costed = with_known_cost(asked)
    judged = asked.old_enough(JUDGED_AFTER_DAYS)
    lines = (
        sold_from(asked.since, asked.until)
        .filter(variant__isnull=False)
        .order_by()
        .values(key)
        .annotate(
            sold=Count("pk"),
            returned=Count("pk", filter=TAKEN_BACK),
            judged=Count("pk", filter=judged),
            judged_back=Count("pk", filter=judged & TAKEN_BACK),
            old_30=Count("pk", filter=asked.old_enough(30)),
            old_90=Count("pk", filter=asked.old_enough(90)),
            net_minor=summed(F("total_minor") - F("tax_minor"), costed),
            spent_minor=summed(F("cost_minor"), costed),
            costed=Count("pk", filter=costed),
            days_until_sold=Sum(asked.days_between("handed_over_at", "unit__received_on")),
        )
    )
    found: dict[Group, Sold] = defaultdict(Sold)
    fold(found, asked.groups, lines, key)
    reasons: dict[int, int] = defaultdict(int)
    back_key = f"line__{key}"
    backs = (
        Return.objects.alias(sold_at=Unindexed(F("line__handed_over_at")))
        .filter(line__variant__isnull=False, sold_at__gte=asked.since, sold_at__lt=asked.until)
        .order_by()
        .values(back_key, "reason")
        .annotate(
            count=Count("pk"),
            back_30=Count("pk", filter=taken_back_within(30, asked)),
            back_90=Count("pk", filter=taken_back_within(90, asked)),
        )
    )
    for row in backs:
        sold = found[asked.groups[row[back_key]]]
        sold.back_30 += row["back_30"]
        sold.back_90 += row["back_90"]
        reasons[row["reason"]] += row["count"]
    names = ReturnReason.objects.values_list("pk", "name")
    return WhatWasSold(dict(found), {(pk, name): reasons[pk] for pk, name in names if pk in reasons})


def has_trait(factor: Factor) -> Q:
    """Lines with the trait; measured ones without it are the rest of `was_measured`."""
    match factor.side:
        case Side.UNDER:
            return Q(**{f"{factor.key}__lt": factor.threshold})
        case Side.OVER:
            return Q(**{f"{factor.key}__gt": factor.threshold})
        case Side.YES:
            return Q(**{factor.key: True})


def was_measured(factor: Factor) -> Q:
    return Q(**{f"{factor.key}__isnull": False})


def in_common_counts(asked: Asked, factors: Sequence[Factor]) -> tuple[Mapping[str, Split], Mapping[str, Split]]:
    """For each trait: of the pieces that were kept, and of those that came back, how many have it and how many not.

    Of the judged pieces, where it was measured; in two queries.
    """
    counts: dict[str, Count] = {}
    for place, factor in enumerate(factors):
        counts[f"measured_{place}"] = Count(factor.key)
        counts[f"having_{place}"] = Count("pk", filter=has_trait(factor))
    until = min(asked.until, asked.known_before(JUDGED_AFTER_DAYS))
    lines = sold_from(asked.since, until).alias(of=Unindexed(F("variant"))).filter(of__isnull=False)
    all_of_them, of_returned = lines.aggregate(**counts), lines.filter(TAKEN_BACK).aggregate(**counts)
    kept, returned = {}, {}
    for place, factor in enumerate(factors):
        measured, having = all_of_them[f"measured_{place}"], all_of_them[f"having_{place}"]
        back, having_back = of_returned[f"measured_{place}"], of_returned[f"having_{place}"]
        kept[factor.key] = Split(having - having_back, measured - having - back + having_back)
        returned[factor.key] = Split(having_back, back - having_back)
    return kept, returned
