"""One day as its page shows it: who comes when, for what, where and with whom, what is missing, what to lay out.

A value without a query in it: two days that look alike are equal, and `stamp` tells whether anything that shows has
changed. Times are rows of five minutes from the board's beginning, so that clock changes need no arithmetic here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256

from django.utils.timezone import localtime

from fittings.hours.spans import Span
from fittings.models import Appointment
from fittings.readiness import Missing

ROW = timedelta(minutes=5)
QUARTER, HOUR = timedelta(minutes=15), timedelta(hours=1)
MOST_ROWS = 25 * 12  # the longest day there is, in rows; static/css/board-grid.css has a rule for each
FINE_BELOW = timedelta(minutes=25)  # a shorter visit needs a larger scale to hold its button
BY_PLACE, BY_STYLIST = "place", "stylist"


@dataclass(frozen=True)
class Deed:
    """What can be done next, by the state it leads to."""

    state: str
    label: str


@dataclass(frozen=True)
class Way:
    """One way to move an appointment without dragging it: the posted field, its value, and what the button says."""

    field: str
    value: int
    label: str


@dataclass(frozen=True)
class UnitOut:
    key: int
    number: str
    piece: str
    is_out: bool


@dataclass(frozen=True)
class Block:
    """One appointment."""

    reference: str
    client: str
    name: str
    begins: str
    ends: str
    starts_at: str
    column: int
    from_row: int
    rows: int
    clean_rows: int
    kind: str
    stylist: str
    place: str
    note: str
    state: str
    state_label: str
    is_hers: bool
    is_private: bool
    sequence: int
    missing: tuple[Missing, ...]
    units: tuple[UnitOut, ...]
    deeds: tuple[Deed, ...]
    ways: tuple[Way, ...]

    @property
    def may_move(self) -> bool:
        return self.state == Appointment.State.BOOKED

    @property
    def position(self) -> str:
        """Where it stands, in the classes of static/css/board-grid.css."""
        return _position(self.column, self.from_row, self.rows)

    @property
    def clean_position(self) -> str:
        return _position(self.column, self.from_row + self.rows, self.clean_rows)

    @property
    def to_lay_out(self) -> int:
        """How many units do not lie ready yet."""
        return sum(not unit.is_out for unit in self.units)

    @property
    def is_to_come(self) -> bool:
        return self.state in (Appointment.State.BOOKED, Appointment.State.ARRIVED)


@dataclass(frozen=True)
class Column:
    number: int
    key: int
    name: str
    note: str
    is_free: bool


@dataclass(frozen=True)
class Shade:
    """Time in which nobody is expected in a column (0: in all of them)."""

    column: int
    from_row: int
    rows: int
    says: str

    @property
    def position(self) -> str:
        return _position(self.column or "all", self.from_row, self.rows)


@dataclass(frozen=True)
class HourMark:
    from_row: int
    clock: str


@dataclass(frozen=True)
class DayBoard:
    day: date
    by: str
    starts_at: str
    rows: int
    is_fine: bool
    is_today: bool
    now_row: int | None
    is_closed: bool
    closed_because: str
    hours: tuple[HourMark, ...]
    columns: tuple[Column, ...]
    shades: tuple[Shade, ...]
    blocks: tuple[Block, ...]
    gone: tuple[Block, ...]
    """Cancelled, or did not come: their time may belong to somebody else already."""

    @property
    def stamp(self) -> str:
        """The same as long as the page would look the same."""
        return sha256(repr(self).encode()).hexdigest()[:24]

    @property
    def query(self) -> str:
        """What follows the “?” in the addresses of this board."""
        return f"day={self.day:%Y-%m-%d}&by={self.by}"


@dataclass(frozen=True)
class Scale:
    """Turns moments into rows of one board, which begins on a full hour of the salon's clock."""

    span: Span

    @classmethod
    def around(cls, moments: Iterable[Span], *, day: Span) -> Scale:
        """The smallest stretch of full hours that holds all of them, within the day where it can be."""
        spans = list(moments)
        begins = _hour_before(max(min(span.starts_at for span in spans), day.starts_at))
        ends = max(span.ends_at for span in spans)
        ends = min(begins + -(-(ends - begins) // HOUR) * HOUR, begins + MOST_ROWS * ROW)
        return cls(Span(begins, ends))

    @property
    def rows(self) -> int:
        return (self.span.ends_at - self.span.starts_at) // ROW

    def row(self, moment: datetime) -> int:
        """The row in which the moment lies; before and after the board its ends."""
        return min(max((moment - self.span.starts_at) // ROW, 0), self.rows)

    def rows_of(self, starts_at: datetime, ends_at: datetime) -> int:
        """How many rows it takes, at least one."""
        last = min(max(-(-(ends_at - self.span.starts_at) // ROW), 0), self.rows)
        return max(last - self.row(starts_at), 1)

    def holds(self, moment: datetime) -> bool:
        return self.span.starts_at <= moment < self.span.ends_at

    def hours(self) -> tuple[HourMark, ...]:
        count = -(-self.rows * ROW // HOUR)
        moments = [self.span.starts_at + number * HOUR for number in range(count)]
        return tuple(HourMark(self.row(moment), f"{localtime(moment):%H:%M}") for moment in moments)


def _position(column: int | str, from_row: int, rows: int) -> str:
    return f"in-{column} from-{from_row} for-{rows}"


def _hour_before(moment: datetime) -> datetime:
    local = localtime(moment)
    return moment - timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
