"""The free times that a wish on the waiting list would take, as the desk shows them."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils.timezone import localdate

from fittings.desk.times_offered import DayOffered, by_day
from fittings.free_times import Wish, free_times
from fittings.hours.wall_clock import day_begins
from fittings.hours_kept import salon_zone
from fittings.models import WaitingEntry

DAYS, LOOKED_AT = 4, 60


def suiting_times(entry: WaitingEntry, *, at: datetime) -> list[DayOffered]:
    """The first days on which she could come as she wished; none later than an appointment she has already."""
    since = max(at, day_begins(entry.earliest_on, salon_zone()))
    days = LOOKED_AT
    last = min(
        (
            day
            for day in (
                entry.latest_on,
                localdate(entry.instead_of.starts_at) - timedelta(days=1) if entry.instead_of else None,
            )
            if day
        ),
        default=None,
    )
    if last:
        days = min(days, (last - localdate(since)).days + 1)
    if days < 1:
        return []
    wish = Wish(
        stylist=entry.stylist,
        part_of_day=entry.part_of_day,
        weekdays=frozenset(entry.weekdays),
    )
    found = free_times(
        kind=entry.kind, since=since, days=days, wish=wish, client=entry.client, besides=entry.instead_of
    )
    return by_day(found)[:DAYS]
