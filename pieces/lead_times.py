"""How long a maker takes from an order that was sent to pieces that came in, learnt from the salon's own orders.

One observation is one parcel: what came in of one order on one day, however many pieces it held, for they came together
and tell of one wait. Days are whole, counted in the salon's time zone. What is made of them is for `pieces.review`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median, quantiles

from django.utils.timezone import localdate

from pieces.models import StockMovement

FEWEST_PARCELS = 4  # a middle half of fewer says nothing
LOOKS_BACK = timedelta(days=2 * 365)  # a maker's speed of years ago is not hers of today


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Days from sent to come in: half of the parcels took `low_days` to `high_days`."""

    median_days: float
    low_days: float
    high_days: float
    count: int


def lead_times(*, on: date) -> dict[int, LeadTime]:
    """By the maker's key, from the parcels of the two years before `on`; a maker with too few is left out."""
    parcels = (
        StockMovement.objects.filter(
            kind=StockMovement.Kind.RECEIVED,
            order_line__isnull=False,
            unit__received_on__gt=on - LOOKS_BACK,
            unit__received_on__lte=on,
        )
        .order_by()
        .values_list("order_line__order__maker", "order_line__order", "order_line__order__sent_at", "unit__received_on")
        .distinct()
    )
    waits: dict[int, list[int]] = defaultdict(list)
    for maker, _, sent_at, received_on in parcels:
        waits[maker].append((received_on - localdate(sent_at)).days)
    learnt = {maker: lead_time_of(days) for maker, days in waits.items()}
    return {maker: lead_time for maker, lead_time in learnt.items() if lead_time}


def lead_time_of(days: Sequence[int]) -> LeadTime | None:
    """Median and middle half of waits in days; None for fewer than `FEWEST_PARCELS`.

    Quartiles are interpolated linearly between the ordered waits (definition 7 of Hyndman and Fan 1996, Sample
    Quantiles in Statistical Packages, The American Statistician 50(4), 361-365; MEMORY).
    >>> lead_time_of([10, 12, 14, 20])
    LeadTime(median_days=13.0, low_days=11.5, high_days=15.5, count=4)
    """
    if len(days) < FEWEST_PARCELS:
        return None
    low, _, high = quantiles(days, n=4, method="inclusive")
    return LeadTime(float(median(days)), low, high, len(days))
