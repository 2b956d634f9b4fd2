"""Which moment is meant by a day and a time on the salon's wall clock, also on the days on which it is changed?

Where the clock is put forward, some times never come; where it is put back, some come twice. A person who names such a
time is told so (`moment_at`); hours written down for every week never fail (`hours_on`). Moments are UTC.
The two readings of a wall-clock time are those of PEP 495: `fold=0` with the offset before the change, `fold=1` with
the offset after it. In a gap the first lies after the second; that is how it is recognised.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fittings.hours.spans import Span

MIDNIGHT = time(0, 0)
A_SECOND, A_DAY = timedelta(seconds=1), timedelta(days=1)


class NoSuchTime(ValueError):  # noqa: N818  # named for what is so, as people are told it
    """The clock jumps over that time; `says` names the times either side, `jumps_at` is the moment of the jump."""

    def __init__(self, says: str, jumps_at: datetime) -> None:
        super().__init__(says)
        self.says = says
        self.jumps_at = jumps_at


class TwiceThatTime(ValueError):  # noqa: N818  # as above
    """That time comes twice; `first` and `later` are the two moments."""

    def __init__(self, says: str, first: datetime, later: datetime) -> None:
        super().__init__(says)
        self.says = says
        self.first = first
        self.later = later


def moment_at(day: date, at: time, zone: ZoneInfo, *, second: bool | None = None) -> datetime:
    """The moment of that wall-clock time, UTC.

    `second` says which of two is meant where the time comes twice, and is not looked at elsewhere.
    Raises NoSuchTime in a gap, and TwiceThatTime where the time comes twice and `second` is None.
    """
    first, later = _both_readings(day, at, zone)
    if first == later:
        return first
    if first > later:
        change = _change_between(later, first, zone)
        before, after = _clock_around(change, zone)
        raise NoSuchTime(
            f"There is no {at:%H:%M} on {_said(day)}: the clock goes from {before:%H:%M} straight to {after:%H:%M}.",
            change,
        )
    if second is None:
        before, after = _clock_around(_change_between(first, later, zone), zone)
        raise TwiceThatTime(
            f"{at:%H:%M} comes twice on {_said(day)}, for the clock goes back from {before:%H:%M} to {after:%H:%M}:"
            f" say which is meant, the first ({_offset_said(first, zone)}) or the later ({_offset_said(later, zone)}).",
            first,
            later,
        )
    return later if second else first


def hours_on(day: date, begins: time, ends: time, zone: ZoneInfo) -> Span | None:
    """The time from one wall-clock time to another of one day; None when nothing is left of it.

    A time in a gap is the end of the gap; of a doubled beginning the first counts, of a doubled end the second.
    """
    starts_at, ends_at = _never_failing(day, begins, zone)[0], _never_failing(day, ends, zone)[1]
    return Span(starts_at, ends_at) if starts_at < ends_at else None


def day_begins(day: date, zone: ZoneInfo) -> datetime:
    """The first moment of a day; not its midnight, where the clock jumps over that."""
    return _never_failing(day, MIDNIGHT, zone)[0]


def whole_day(day: date, zone: ZoneInfo) -> Span | None:
    """All of a day, 23 or 25 hours of it too; None for a day that a place left out."""
    starts_at, ends_at = day_begins(day, zone), day_begins(day + A_DAY, zone)
    return Span(starts_at, ends_at) if starts_at < ends_at else None


def steps_of_day(day: date, step_minutes: int, zone: ZoneInfo) -> list[datetime]:
    """Every moment of that day at which the wall clock shows midnight or so many minutes more, and more; in order."""
    starts_at, ends_at = day_begins(day, zone), day_begins(day + A_DAY, zone)
    if ends_at - starts_at == A_DAY:  # no change between: a step is a step
        return [starts_at + timedelta(minutes=minutes) for minutes in range(0, 24 * 60, step_minutes)]
    found: set[datetime] = set()
    for minutes in range(0, 24 * 60, step_minutes):
        first, later = _both_readings(day, time(*divmod(minutes, 60)), zone)
        if first <= later:
            found |= {first, later}
    return sorted(found)


def _both_readings(day: date, at: time, zone: ZoneInfo) -> tuple[datetime, datetime]:
    wall = datetime.combine(day, at.replace(fold=0), tzinfo=zone)
    return wall.astimezone(UTC), wall.replace(fold=1).astimezone(UTC)


def _never_failing(day: date, at: time, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The two moments of a time that comes twice; twice the same one otherwise, in a gap its end."""
    first, later = _both_readings(day, at, zone)
    if first > later:
        first = later = _change_between(later, first, zone)
    return first, later


def _change_between(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    """The first moment with the new offset; the clock is changed once in (before, after]."""
    old = before.astimezone(zone).utcoffset()
    while after - before > A_SECOND:
        middle = before + (after - before) // A_SECOND // 2 * A_SECOND
        if middle.astimezone(zone).utcoffset() == old:
            before = middle
        else:
            after = middle
    return after


def _clock_around(change: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """What the clock would have shown at its change, and what it shows."""
    return (change - A_SECOND).astimezone(zone) + A_SECOND, change.astimezone(zone)


def _said(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B %Y}"


def _offset_said(moment: datetime, zone: ZoneInfo) -> str:
    """The zone's own name for its offset where it has one, such as BST, and the offset."""
    local = moment.astimezone(zone)
    name, offset = local.tzname() or "", f"{local:%z}"
    said = f"UTC{offset[:3]}:{offset[3:5]}"
    return f"{name}, {said}" if name.isalpha() else said
