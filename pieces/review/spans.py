"""Which days does a review look at: a span, and the names that spans have.

Days are the salon's own; a span includes its first day and its last.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

KEPT_AFTER_DAYS: Final = (30, 90)
"""Whether a piece was kept is told after so many days; common practice."""

NAMED: Final[dict[str, str]] = {
    "90-days": "The last 90 days",
    "180-days": "The last 180 days",
    "12-months": "The last 12 months",
    "24-months": "The last 24 months",
    "this-year": "This year",
    "last-year": "Last year",
}
USUAL: Final = "12-months"


@dataclass(frozen=True)
class Span:
    """From the day `since` to the day `until`, both included; raises ValueError where it ends before it begins."""

    since: date
    until: date

    def __post_init__(self) -> None:
        if self.until < self.since:
            raise ValueError(f"A span ends on its first day or later; {self.until} is before {self.since}.")

    @property
    def days(self) -> int:
        return (self.until - self.since).days + 1


def span_named(name: str, *, on: date) -> Span:
    """The span of that name as of a day; raises ValueError with the names there are.

    >>> span_named("90-days", on=date(2026, 3, 31))
    Span(since=datetime.date(2026, 1, 1), until=datetime.date(2026, 3, 31))
    """
    match name:
        case "90-days" | "180-days":
            return Span(on - timedelta(days=int(name.split("-")[0]) - 1), on)
        case "12-months" | "24-months":
            return Span(_same_day(on, -int(name.split("-")[0])) + timedelta(days=1), on)
        case "this-year":
            return Span(date(on.year, 1, 1), on)
        case "last-year":
            return Span(date(on.year - 1, 1, 1), date(on.year - 1, 12, 31))
    raise ValueError(f"No span is called {name!r}; there are {', '.join(NAMED)}.")


def _month(day: date, later: int) -> date:
    months = day.year * 12 + day.month - 1 + later
    return date(months // 12, months % 12 + 1, 1)


def _same_day(day: date, later: int) -> date:
    """The same day so many months later, or the month's last where it has no such day."""
    last = _month(day, later + 1) - timedelta(days=1)
    return last.replace(day=min(day.day, last.day))
