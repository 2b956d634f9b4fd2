"""What is written down about hours, read into the objects of `fittings.hours` in a fixed number of queries.

`salon_hours` takes three queries (the salon's zone, its week, its closures), `stylists_hours` two (weeks, time off).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from fittings.hours.spans import Span, common, merged, minus
from fittings.hours.week import DayHours, DayRule, Week, open_spans
from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from salon.models import Salon, User


@dataclass(frozen=True)
class SalonHours:
    """When the salon is open from the first day to the last, both included."""

    first: date
    last: date
    zone: ZoneInfo
    week: Week
    day_rules: tuple[DayRule, ...]

    @cached_property
    def open(self) -> list[Span]:
        return open_spans(self.first, self.last, self.week, self.day_rules, self.zone)

    def rules_on(self, day: date) -> list[DayRule]:
        return [rule for rule in self.day_rules if rule.holds_on(day)]


@dataclass(frozen=True)
class StylistHours:
    """One stylist's week and the spans in which she is away."""

    week: Week
    off: tuple[Span, ...]

    def at_work(self, salon: SalonHours) -> list[Span]:
        """When she works while the salon is open, her breaks and her time off left out."""
        hers = salon.open
        if self.week.days is not None:
            hers = common(hers, open_spans(salon.first, salon.last, self.week, (), salon.zone))
        return minus(hers, self.off)


def salon_zone() -> ZoneInfo:
    """The zone of the salon's wall clock."""
    return ZoneInfo(Salon.objects.default().time_zone)


def salon_hours(first: date, last: date) -> SalonHours:
    days = {row.weekday: DayHours(row.opens, row.closes) for row in OpeningHours.objects.all()}
    rules = tuple(
        DayRule(row.first_day, row.last_day, row.because, row.opens, row.closes)
        for row in Closure.objects.touching(first, last)
    )
    return SalonHours(first, last, salon_zone(), Week(days or None), rules)


def stylists_hours(stylists: Iterable[User], first: date, last: date) -> dict[int, StylistHours]:
    """Hours by the stylists' keys; also for those of whom nothing is written down."""
    keys = [stylist.pk for stylist in stylists]
    weeks: dict[int, dict[int, DayHours]] = defaultdict(dict)
    for row in WorkingHours.objects.filter(stylist__in=keys):
        weeks[row.stylist_id][row.weekday] = DayHours(row.begins, row.ends, row.break_begins, row.break_ends)
    off: dict[int, list[Span]] = defaultdict(list)
    # no zone is more than a day away from UTC
    from_, until = (datetime.combine(day, time(0, 0), UTC) for day in (first, last + timedelta(days=2)))
    away = TimeOff.objects.filter(stylist__in=keys).overlapping(from_ - timedelta(days=1), until)
    for stylist, starts_at, ends_at in away.values_list("stylist", "starts_at", "ends_at"):
        off[stylist].append(Span(starts_at, ends_at))
    return {key: StylistHours(Week(weeks.get(key) or None), tuple(merged(off[key]))) for key in keys}
