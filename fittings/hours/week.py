"""When is a salon open, or a stylist at work, on the days from one date to another?

A week says what holds on each weekday, a day rule what is different on certain days: closed, or open for a
shorter time. All of it is told in wall-clock times and given back in moments. Weekdays are ISO 8601's: 1 is Monday.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from fittings.hours.spans import Span, common, merged, minus
from fittings.hours.wall_clock import hours_on, whole_day


@dataclass(frozen=True, slots=True)
class DayHours:
    begins: time
    ends: time
    break_begins: time | None = None
    break_ends: time | None = None

    def spans_on(self, day: date, zone: ZoneInfo) -> list[Span]:
        hours = hours_on(day, self.begins, self.ends, zone)
        pause = self.break_on(day, zone)
        return minus([hours] if hours else [], [pause] if pause else [])

    def break_on(self, day: date, zone: ZoneInfo) -> Span | None:
        if self.break_begins is None or self.break_ends is None:
            return None
        return hours_on(day, self.break_begins, self.break_ends, zone)


@dataclass(frozen=True, slots=True)
class Week:
    """Hours by weekday; a weekday without any has none. No `days` at all: no limit by them."""

    days: Mapping[int, DayHours] | None = None

    def spans_on(self, day: date, zone: ZoneInfo) -> list[Span]:
        if self.days is None:
            whole = whole_day(day, zone)
            return [whole] if whole else []
        hours = self.days.get(day.isoweekday())
        return hours.spans_on(day, zone) if hours else []


@dataclass(frozen=True, slots=True)
class DayRule:
    """Closed from the first day to the last, both included, or open from `opens` to `closes` at the most.

    A rule only takes away: a weekday that is closed anyway stays so on a short day.
    """

    first: date
    last: date
    because: str
    opens: time | None = None
    closes: time | None = None

    def holds_on(self, day: date) -> bool:
        return self.first <= day <= self.last

    @property
    def closes_the_day(self) -> bool:
        return self.opens is None or self.closes is None

    def leaves(self, day: date, zone: ZoneInfo) -> list[Span]:
        if self.opens is None or self.closes is None:
            return []
        hours = hours_on(day, self.opens, self.closes, zone)
        return [hours] if hours else []


def days_from(first: date, last: date) -> list[date]:
    """Every day from the first to the last, both included."""
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]


def open_spans(first: date, last: date, week: Week, day_rules: Iterable[DayRule], zone: ZoneInfo) -> list[Span]:
    """The open time of all days from the first to the last, both included; what touches at midnight is one span."""
    rules = list(day_rules)
    found: list[Span] = []
    for day in days_from(first, last):
        spans = week.spans_on(day, zone)
        for rule in rules:
            if rule.holds_on(day):
                spans = common(spans, rule.leaves(day, zone))
        found += spans
    return merged(found)
