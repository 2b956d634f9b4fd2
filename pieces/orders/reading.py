"""Which orders a list shows, what stands on one, what came with it, and what can be ordered, each in fixed queries."""

from __future__ import annotations

from datetime import date
from typing import Final

from django.db.models import F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404

from pieces.browsing import read_by_photo
from pieces.models import Maker, MakerOrder, OrderLine, StockMovement, Variant

MOST_FOUND: Final = 30
_STATE = MakerOrder.State
SHOWN: Final = {  # what the list shows, by the word in its address
    "": ("Open", [_STATE.DRAFT, _STATE.SENT, _STATE.PART_RECEIVED]),
    "closed": ("Closed", [_STATE.CLOSED]),
    "dropped": ("Dropped", [_STATE.DROPPED]),
}


def orders_listed(shown: str) -> QuerySet[MakerOrder]:
    """Open ones by the day they are expected, those without one last; closed and dropped ones newest first."""
    _, states = SHOWN[shown]
    orders = MakerOrder.objects.filter(state__in=states).select_related("maker").with_counts()
    return (
        orders.order_by("-closed_at", "-pk") if shown else orders.order_by(F("expected_on").asc(nulls_last=True), "pk")
    )


def order_of(reference: str) -> MakerOrder:
    """The order with that reference, its maker and who did what; 404 when there is none."""
    return get_object_or_404(
        MakerOrder.objects.select_related("maker", "drafted_by", "sent_by", "closed_by"), reference=reference
    )


def lines_of(order: MakerOrder) -> list[OrderLine]:
    """Its lines with all that a row shows."""
    lines = order.lines.select_related("variant__piece", "variant__shade", "for_client")
    rows = list(lines.prefetch_related(read_by_photo("variant__shade")).order_by("pk"))
    for line in rows:
        line.order = order
    return rows


def came_with(order: MakerOrder) -> QuerySet[StockMovement]:
    """The units that came with it, the newest first."""
    came = StockMovement.objects.filter(order_line__order=order, kind=StockMovement.Kind.RECEIVED)
    return came.select_related("unit__variant__piece", "unit__variant__shade", "by").order_by("-at", "-pk")


def variants_to_order(words: str, *, on: date, maker: Maker | None = None) -> QuerySet[Variant]:
    """Variants still made that have all the words, with how many lie in the drawer and are on their way."""
    found = Variant.objects.offered(on).select_related("piece__base__maker", "shade")
    if maker:
        found = found.filter(piece__base__maker=maker)
    for word in words.split():
        found = found.filter(
            Q(piece__name__icontains=word)
            | Q(piece__base__maker__name__icontains=word)
            | Q(piece__base__name__icontains=word)
            | Q(shade__name__icontains=word)
            | Q(shade__code__icontains=word)
        )
    return with_on_the_way(found.with_drawer_count()).prefetch_related(read_by_photo("shade"))


def with_on_the_way(variants: QuerySet[Variant]) -> QuerySet[Variant]:
    """Adds `on_the_way`: how many are still to come with orders that were sent, for the drawer or for somebody."""
    still = OrderLine.objects.still_to_come().filter(variant=OuterRef("pk")).order_by().values("variant")
    coming = still.annotate(coming=Sum(F("count") - F("received_count"))).values("coming")
    return variants.annotate(on_the_way=Coalesce(Subquery(coming, output_field=IntegerField()), 0))
