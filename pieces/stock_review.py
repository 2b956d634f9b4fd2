"""What lies in the salon, since when and for how much money, and what of it could be sold and was.

Units that a client brought were never the salon's and are left out; so is what is with a client now. Stock belongs to
no stylist: asked by stylist, all of it is one group. Sums are the database's; money is the salon's currency, at cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Sum

from pieces.models import SaleLine, StockMovement, Unit
from pieces.owner_review import Sold
from pieces.review.worth import Held, Worth, worth_of
from pieces.review_asked import Asked, Unindexed, fold, midnight, summed
from pieces.review_groups import Group
from pieces.stock import HERE

FOR_SALE = Q(purpose=Unit.Purpose.SALE)


@dataclass
class Stock:
    """Sums over units. could: for sale, and here when the span began or come in since; the others are of today.

    lying: for sale and in the salon; lain_days: since they came in; dead: see `is_dead`; try_on: for trying on.
    """

    could: int = 0
    lying: int = 0
    lain_days: int = 0
    lying_costed: int = 0
    lying_minor: int = 0
    dead: int = 0
    dead_minor: int = 0
    try_on: int = 0
    try_on_costed: int = 0
    try_on_minor: int = 0


def units_here() -> QuerySet[Unit]:
    """The salon's own units that are in the salon now."""
    return _own(Unit.objects.filter(state__in=HERE))


def units_that_could_be_sold(asked: Asked) -> QuerySet[Unit]:
    """Units for sale that were the salon's when the span began, or came in during it."""
    sold_before = _sold_before(asked).filter(unit=OuterRef("pk"))
    return _own(Unit.objects.filter(FOR_SALE, ~_gone_before(asked), ~Exists(sold_before), _had_come(asked)))


def _had_come(asked: Asked) -> Q:
    return Q(received_on__lte=asked.span.until)


def _sold_before(asked: Asked) -> QuerySet[SaleLine]:
    """Handed over before the span and not taken back; a unit is in one such line at most."""
    return SaleLine.objects.sold().filter(handed_over_at__lt=asked.since, is_live=True)


def _gone_before(asked: Asked, *, unit: str = "") -> Q:
    """Units that had gone for good. unit: the path to it."""
    at = f"{unit}__" if unit else ""
    gone = StockMovement.objects.filter(unit=OuterRef(f"{at}pk"), to_state=Unit.State.GONE, at__lt=asked.since)
    return Q(**{f"{at}state": Unit.State.GONE}) & Q(Exists(gone))


def is_dead(asked: Asked) -> Q:
    """For sale and here for long, with none of its kind sold meanwhile."""
    long_ago = asked.today - timedelta(days=asked.dead_after_days)
    sold_since = SaleLine.objects.sold().filter(variant=OuterRef("variant"), handed_over_at__gte=midnight(long_ago))
    return FOR_SALE & Q(received_on__lte=long_ago) & Q(~Exists(sold_since))


def stock_by_group(asked: Asked) -> dict[Group, Stock]:
    """What is here, what it ties up, what is dead, and what could have been sold; by group, in three queries."""
    costed = Q(cost_minor__isnull=False, variant__currency=asked.currency)
    dead = is_dead(asked)
    here = (
        units_here()
        .order_by()
        .values("variant_id")
        .annotate(
            lying=Count("pk", filter=FOR_SALE),
            lain_days=Sum(asked.days_to_today("received_on"), filter=FOR_SALE, default=0),
            lying_costed=Count("pk", filter=FOR_SALE & costed),
            lying_minor=summed(F("cost_minor"), FOR_SALE & costed),
            dead=Count("pk", filter=dead),
            dead_minor=summed(F("cost_minor"), costed & dead),
            try_on=Count("pk", filter=~FOR_SALE),
            try_on_costed=Count("pk", filter=~FOR_SALE & costed),
            try_on_minor=summed(F("cost_minor"), ~FOR_SALE & costed),
        )
    )
    had = _own(Unit.objects.filter(FOR_SALE, _had_come(asked))).order_by().values("variant_id")
    could = had.annotate(could=Count("pk", filter=~_gone_before(asked)))
    # what was sold before is taken off by its own sum: asking each unit takes ten times as long
    for_sale = _sold_before(asked).alias(purpose=Unindexed(F("unit__purpose"))).filter(purpose=Unit.Purpose.SALE)
    # what has worn out at a client's since is off already
    still_hers = for_sale.filter(~_gone_before(asked, unit="unit"))
    sold = still_hers.order_by().values("variant_id").annotate(could=-Count("pk"))
    found: dict[Group, Stock] = defaultdict(Stock)
    for rows in (here, could, sold):
        fold(found, asked.groups_by_variant, rows, "variant_id")
    return dict(found)


def worth_by_group(sold: Mapping[Group, Sold], stock: Mapping[Group, Stock]) -> dict[Group, Worth]:
    """The figures of every group in which something lies or was sold."""
    return {group: _worth(sold.get(group, Sold()), stock.get(group, Stock())) for group in {**sold, **stock}}


def _worth(sold: Sold, stock: Stock) -> Worth:
    return worth_of(
        Held(
            at_start=stock.could,
            sold=sold.sold,
            came_back=sold.returned,
            takings_minor=sold.net_minor,
            costed=sold.costed,
            costed_takings_minor=sold.net_minor,
            cost_minor=sold.spent_minor,
            lying=stock.lying,
            lain_days=stock.lain_days,
            lying_costed=stock.lying_costed,
            lying_minor=stock.lying_minor,
            dead=stock.dead,
            dead_minor=stock.dead_minor,
        )
    )


def _own(units: QuerySet[Unit]) -> QuerySet[Unit]:
    brought = StockMovement.objects.filter(kind=StockMovement.Kind.BROUGHT)
    return units.exclude(pk__in=brought.values("unit"))
