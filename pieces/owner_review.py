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
from typing import Any, Final

from django.db.models import Count, F, Q, QuerySet, Sum

from pieces.models import Return, SaleLine
from pieces.review.in_common import Factor, Side, Split
from pieces.review.spans import KEPT_AFTER_DAYS
from pieces.review_asked import Asked, fold, summed
from pieces.review_groups import Group

JUDGED_AFTER_DAYS: Final = KEPT_AFTER_DAYS[0]
"""Younger sales are left out of rates of return: most of what comes back would still be to come."""
TAKEN_BACK: Final = Q(is_live=False)
"""Of a line that was handed over: such a sale can't be cancelled any more."""


def sold_lines(asked: Asked) -> QuerySet[SaleLine]:
    """The pieces handed over in the span, whether or not they came back."""
    return SaleLine.objects.sold().filter(handed_over_at__gte=asked.since, handed_over_at__lt=asked.until)


def judged_lines(asked: Asked) -> QuerySet[SaleLine]:
    """Of those, the ones that were handed over long enough ago for a rate of return."""
    return sold_lines(asked).filter(asked.old_enough(JUDGED_AFTER_DAYS))


def returns_of(asked: Asked) -> QuerySet[Return]:
    """What came back of the pieces that were sold in the span, whenever it did."""
    return Return.objects.filter(
        line__variant__isnull=False, line__handed_over_at__gte=asked.since, line__handed_over_at__lt=asked.until
    )


def with_known_cost(asked: Asked) -> Q:
    """Lines that a margin rests on: not taken back, in the salon's currency, at a cost that was written down."""
    return Q(sale__currency=asked.currency, cost_minor__isnull=False) & ~TAKEN_BACK


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


def sold_by_group(asked: Asked) -> dict[Group, Sold]:
    """What was sold in the span and what became of it, by group, in two queries."""
    key = asked.key()
    costed = with_known_cost(asked)
    judged = asked.old_enough(JUDGED_AFTER_DAYS)
    lines = (
        sold_lines(asked)
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
    back_key = f"line__{key}"
    backs = (
        returns_of(asked)
        .order_by()
        .values(back_key)
        .annotate(
            back_30=Count("pk", filter=taken_back_within(30, asked)),
            back_90=Count("pk", filter=taken_back_within(90, asked)),
        )
    )
    found: dict[Group, Sold] = defaultdict(Sold)
    fold(found, asked.groups, lines, key)
    fold(found, asked.groups, backs, back_key)
    return dict(found)


def returns_by_reason(asked: Asked) -> dict[tuple[int, str], int]:
    """How many came back for each reason (its key and name), in one query."""
    rows = returns_of(asked).order_by().values_list("reason", "reason__name").annotate(count=Count("pk"))
    return {(pk, name): count for pk, name, count in rows.order_by("reason__position", "reason__name")}


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

    Of the judged pieces, where it was measured; in one query.
    """
    counts: dict[str, Any] = {}
    for place, factor in enumerate(factors):
        with_it, measured = has_trait(factor), was_measured(factor)
        counts[f"all_{place}"] = Count("pk", filter=measured)
        counts[f"having_{place}"] = Count("pk", filter=with_it)
        counts[f"back_{place}"] = Count("pk", filter=measured & TAKEN_BACK)
        counts[f"having_back_{place}"] = Count("pk", filter=with_it & TAKEN_BACK)
    found = judged_lines(asked).aggregate(**counts)
    kept, returned = {}, {}
    for place, factor in enumerate(factors):
        having, having_back = found[f"having_{place}"], found[f"having_back_{place}"]
        lacking, lacking_back = found[f"all_{place}"] - having, found[f"back_{place}"] - having_back
        kept[factor.key] = Split(having - having_back, lacking - lacking_back)
        returned[factor.key] = Split(having_back, lacking_back)
    return kept, returned
