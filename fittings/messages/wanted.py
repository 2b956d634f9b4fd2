"""Which messages an appointment or a test asks for as it stands now, and why others are wanted no longer.

It decides from what it is handed; `fittings.reminding` fetches, keeps and drops. What a message speaks of stands in
its row's `about`: the moment she is told to come, in UTC, and for a new time also which change it was. So a moved
appointment is told of anew, and nothing is told twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from clients.models import SkinTest
from fittings.models import Appointment, CareDate, OwnedPiece, Reminder

Kind, State = Reminder.Kind, Reminder.State

PENDING: Final = (State.DUE, State.FAILED)
TOLD: Final = (State.SENDING, State.SENT, State.UNKNOWN)
"""She knows of it, or may: what follows is said as news."""

# why a message was dropped, as the log shows it
NOT_AGREED: Final = "She has not agreed to messages, or has taken it back."
NO_ADDRESS: Final = "There is no address on file that it could go to."
MOVED: Final = "The time was changed before it went out."
CANCELLED: Final = "The appointment was cancelled before it went out."
CAME: Final = "The visit has begun, or she did not come."
TOO_LATE: Final = "It would have come too late to be of use."
READ: Final = "She has been back already."
STRUCK_OUT: Final = "The test was struck out."
ENDED: Final = "The piece is no longer hers."
CARE_MOVED: Final = "Its date was moved before it went out."
TOLD_ALREADY: Final = "Somebody has told her already."
SAID_ALREADY: Final = "Another message of that day says the same."
FOR_NOW: Final = (NOT_AGREED, NO_ADDRESS)
"""Reasons that can pass: she agrees, or gives an address. The message is then wanted again."""

SAME_DAY_AT: Final = time(8)  # by the salon's clock
CARE_UNTIL: Final = timedelta(days=7)  # after the date; later it is for the desk to ring
AFTER_BOOKING: Final = timedelta(hours=3)  # she has just been told; sooner than this a reminder is a nuisance
BEFORE_IT_BEGINS: Final = timedelta(hours=1)  # later on the day she is on her way
TWO_DAYS_UNTIL: Final = timedelta(days=1)  # before it begins; from then on the message of the day takes its place
LONGEST_UNREAD: Final = timedelta(hours=168 + 48)  # after it was put on no test is still to be read, by any product


@dataclass(frozen=True)
class Wanted:
    kind: Reminder.Kind
    about: str
    due_at: datetime


def told_as(moment: datetime) -> str:
    """A moment as `about` holds it: 2026-03-03T10:30:00Z."""
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def time_told(reminder: Reminder) -> datetime:
    """The moment that a message speaks of, to the second; of a care date the day's beginning, in UTC."""
    return datetime.fromisoformat(reminder.about.split(" ")[0]).replace(tzinfo=UTC)


def wanted_of(appointment: Appointment, rows: Sequence[Reminder], *, at: datetime, zone: ZoneInfo) -> list[Wanted]:
    """What should be told of the appointment now; `rows` are all its messages. Her consent is asked elsewhere."""
    told = _last_told(rows)
    if appointment.state == Appointment.State.CANCELLED:
        if told is None or time_told(told) <= at:
            return []
        return [Wanted(Kind.CANCELLED, told_as(time_told(told)), at)]
    if appointment.state != Appointment.State.BOOKED or appointment.starts_at <= at:
        return []
    about = told_as(appointment.starts_at)
    wanted = []
    if told is None:
        wanted.append(Wanted(Kind.CONFIRMATION, about, at))
    elif told_as(time_told(told)) != about:
        wanted.append(Wanted(Kind.CHANGED, _which_change(about, rows), at))
    for kind, due_at, until in _reminders(appointment.starts_at, zone):
        waits = any(row.kind == kind and row.about == about and row.state in PENDING for row in rows)
        if due_at < until and (waits or due_at >= at + AFTER_BOOKING):
            wanted.append(Wanted(kind, about, due_at))
    return wanted


def wanted_of_test(skin_test: SkinTest, *, at: datetime) -> list[Wanted]:
    """That she comes back to have it read, once that can be done and while it is of use."""
    if skin_test.read_at or skin_test.is_struck_out or at >= skin_test.read_again_until:
        return []
    return [Wanted(Kind.READING, told_as(skin_test.applied_at), skin_test.to_be_read_from)]


def why_not_any_more(reminder: Reminder, *, at: datetime) -> str:
    """Why this message must not go out as things stand; empty when it may. Consent and address are asked elsewhere."""
    if reminder.skin_test:
        if reminder.skin_test.read_at:
            return READ
        if reminder.skin_test.is_struck_out:
            return STRUCK_OUT
        return TOO_LATE if at >= reminder.skin_test.read_again_until else ""
    if reminder.owned_piece:
        return _why_no_care(reminder, reminder.owned_piece, at)
    appointment = reminder.appointment
    assert appointment is not None  # noqa: S101  # the constraint: it is about one of the three
    if reminder.kind == Kind.CANCELLED:
        return TOO_LATE if time_told(reminder) <= at else ""
    if appointment.state == Appointment.State.CANCELLED:
        return CANCELLED
    if appointment.state != Appointment.State.BOOKED:
        return CAME
    if told_as(time_told(reminder)) != told_as(appointment.starts_at):
        return MOVED
    until = appointment.starts_at - (TWO_DAYS_UNTIL if reminder.kind == Kind.TWO_DAYS else timedelta(0))
    return TOO_LATE if at >= until else ""


def care_told_as(care_date: CareDate) -> str:
    """A care date as `about` holds it: 2026-03-03 check-up."""
    return f"{care_date.due_on:%Y-%m-%d} {care_date.kind}"


def _why_no_care(reminder: Reminder, owned: OwnedPiece, at: datetime) -> str:
    if not owned.is_hers:
        return ENDED
    kept = next((row for row in owned.care_dates.all() if care_told_as(row) == reminder.about), None)
    if kept is None:
        return CARE_MOVED
    if kept.told_at:
        return TOLD_ALREADY
    return TOO_LATE if at >= time_told(reminder) + CARE_UNTIL else ""


def _last_told(rows: Sequence[Reminder]) -> Reminder | None:
    """The message that went out, or may have gone out, last."""
    return max((row for row in rows if row.state in TOLD), key=lambda row: row.claimed_at or row.made_at, default=None)


def _which_change(about: str, rows: Sequence[Reminder]) -> str:
    """The change under way, if its row is the newest; else one more."""
    changes = sorted((row for row in rows if row.kind == Kind.CHANGED), key=lambda row: row.pk)
    if changes and changes[-1].state not in TOLD and changes[-1].about.split(" ")[0] == about:
        return changes[-1].about
    return f"{about} #{len(changes) + 1}"


def _reminders(starts_at: datetime, zone: ZoneInfo) -> list[tuple[Reminder.Kind, datetime, datetime]]:
    """Kind, when it is due by the salon's clock, and until when it is of use."""
    here = starts_at.astimezone(zone)
    two_days = here - timedelta(days=2)  # the same time by the clock on the wall, over a change of clocks too
    morning = datetime.combine(here.date(), SAME_DAY_AT, zone)
    return [
        (Kind.TWO_DAYS, two_days.astimezone(UTC), starts_at - TWO_DAYS_UNTIL),
        (Kind.SAME_DAY, morning.astimezone(UTC), starts_at - BEFORE_IT_BEGINS),
    ]
