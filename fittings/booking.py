"""Makes, moves and closes appointments: the only writer of them, and of what is told of their changes.

What stands in the way is asked of `fittings.obstacles` within the transaction that writes. Should two writers pass the
question at the same moment, the database refuses the later one (an exclusion constraint on PostgreSQL, triggers on
SQLite), and that refusal becomes the same kind of sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import localtime

from clients.models import Client
from fittings.models import Appointment, AppointmentChange, AwaitedPiece, Place, ServiceKind
from fittings.obstacles import Obstacle, obstacles_to
from salon.models import User

if TYPE_CHECKING:
    from fittings.free_times import FreeTime

State, What = Appointment.State, AppointmentChange.What

# which state may follow which; what is not listed is refused
NEXT = {
    State.BOOKED: {State.ARRIVED, State.IN_CHAIR, State.DONE, State.MISSED, State.CANCELLED},
    State.ARRIVED: {State.IN_CHAIR, State.DONE, State.CANCELLED},
    State.IN_CHAIR: {State.DONE},
}
TAKEN_MEANWHILE = Obstacle("place", "That time has just been taken. Choose another.", about="starts_at", may_pass=False)


class BookingRefused(ValidationError):  # noqa: N818  # a refusal, as the deeds of this house say it
    """Why an appointment can't stand, and when it could: `messages` say both to whoever shows nothing else."""

    def __init__(self, obstacles: list[Obstacle], nearest: list[FreeTime] | None = None) -> None:
        says: dict[str, list[str]] = {}
        for obstacle in obstacles:
            says.setdefault(obstacle.about, []).append(obstacle.says)
        super().__init__(says)
        self.obstacles = obstacles
        self.nearest = nearest or []

    @property
    def may_pass(self) -> bool:
        """Whether a written reason is enough to go past all that stands in the way."""
        return all(obstacle.may_pass for obstacle in self.obstacles)


def book_appointment(
    *,
    client: Client,
    kind: ServiceKind,
    stylist: User,
    place: Place,
    starts_at: datetime,
    by: User,
    at: datetime,
    note: str = "",
    anyway_because: str = "",
    awaits: AwaitedPiece | None = None,
    series: UUID | None = None,
) -> Appointment:
    """Book the stylist and the place for the client; `at` is now. Raises BookingRefused that says why not."""
    appointment = Appointment(
        client=client,
        kind=kind,
        stylist=stylist,
        place=place,
        starts_at=starts_at,
        booked_by=by,
        note=note,
        awaits=awaits,
        series=series,
        deposit_minor=kind.deposit_minor,
    )
    return _stand(appointment, What.BOOKED, by=by, at=at, anyway_because=anyway_because)


def move_appointment(
    *,
    appointment: Appointment,
    starts_at: datetime,
    stylist: User,
    place: Place,
    by: User,
    at: datetime,
    anyway_because: str = "",
) -> Appointment:
    """Give a booked appointment another time, stylist or place; refused like a new one."""
    with transaction.atomic():
        appointment = Appointment.objects.select_for_update().get(pk=appointment.pk)
        if appointment.state != State.BOOKED:
            raise ValidationError(
                f"This appointment is {appointment.get_state_display().lower()}; only a booked one can be moved."
            )
        appointment.starts_at, appointment.stylist, appointment.place = starts_at, stylist, place
        appointment.sequence += 1
        return _stand(appointment, What.MOVED, by=by, at=at, anyway_because=anyway_because)


def cancel_appointment(*, appointment: Appointment, by: User, because: str, at: datetime) -> Appointment:
    """Give the time back; who cancelled it, when and why stay on it."""
    if not because.strip():
        raise ValidationError({"because": "Write why it is cancelled: “she rang, has a cold” is enough."})
    return _close(appointment, State.CANCELLED, by=by, because=because.strip(), at=at)


def mark_missed(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """She did not come; refused before the appointment has begun."""
    if at < appointment.starts_at:
        raise ValidationError(
            f"It begins at {localtime(appointment.starts_at):%H:%M}; whether she comes can't be known before."
        )
    return _close(appointment, State.MISSED, by=by, because="", at=at)


def mark_arrived(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    return _advance(appointment, State.ARRIVED, by=by, at=at)


def mark_in_chair(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    return _advance(appointment, State.IN_CHAIR, by=by, at=at)


def mark_done(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    return _advance(appointment, State.DONE, by=by, at=at)


def _stand(
    appointment: Appointment, what: AppointmentChange.What, *, by: User, at: datetime, anyway_because: str
) -> Appointment:
    """Work out the span, look for obstacles, save; the database has the last word."""
    kind = appointment.kind
    appointment.ends_at = appointment.starts_at + timedelta(minutes=kind.minutes)
    appointment.place_free_at = appointment.ends_at + timedelta(minutes=kind.clean_up_minutes)
    try:
        with transaction.atomic():
            appointment.full_clean()
            obstacles = obstacles_to(appointment, at=at)
            if obstacles and not (anyway_because.strip() and all(obstacle.may_pass for obstacle in obstacles)):
                raise BookingRefused(obstacles)
            appointment.save()
            _tell(appointment, what, by=by, at=at, because=anyway_because.strip() if obstacles else "", past=obstacles)
    except IntegrityError as refusal:
        # somebody booked between the question and the save; say who, now that it can be seen
        raise BookingRefused(obstacles_to(appointment, at=at) or [TAKEN_MEANWHILE]) from refusal
    return appointment


def _tell(
    appointment: Appointment,
    what: AppointmentChange.What,
    *,
    by: User,
    at: datetime,
    because: str = "",
    past: list[Obstacle] | None = None,
) -> None:
    change = AppointmentChange(
        appointment=appointment,
        what=what,
        by=by,
        at=at,
        starts_at=appointment.starts_at,
        stylist=appointment.stylist,
        place=appointment.place,
        because=because,
        passed=[{"code": obstacle.code, "says": obstacle.says} for obstacle in past or []],
    )
    change.full_clean()
    change.save()


def _close(appointment: Appointment, state: Appointment.State, *, by: User, because: str, at: datetime) -> Appointment:
    def closed(fresh: Appointment) -> None:
        fresh.closed_by, fresh.closed_because, fresh.closed_at = by, because, at

    return _advance(appointment, state, by=by, at=at, because=because, also=closed)


@transaction.atomic
def _advance(
    appointment: Appointment,
    state: Appointment.State,
    *,
    by: User,
    at: datetime,
    because: str = "",
    also: Callable[[Appointment], None] = lambda fresh: None,
) -> Appointment:
    fresh = Appointment.objects.select_for_update().get(pk=appointment.pk)
    if state not in NEXT.get(State(fresh.state), set()):
        raise ValidationError(
            f"This appointment is {fresh.get_state_display().lower()}; it can't become “{state.label.lower()}”."
        )
    fresh.state = state
    fresh.sequence += 1
    also(fresh)
    fresh.full_clean()
    fresh.save()
    _tell(fresh, What(state), by=by, at=at, because=because)
    return fresh
