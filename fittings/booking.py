"""Makes, moves and closes appointments: the only writer of them.

A clash is refused here with who, where and until when; should two writers pass this question at the same moment, the
database refuses the later one (an exclusion constraint on PostgreSQL, triggers on SQLite), and that refusal becomes
the same kind of sentence. Opening hours, breaks and free times are not asked here yet.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import localtime

from clients.models import Client
from fittings.models import Appointment, Place, ServiceKind
from salon.models import User

State = Appointment.State

# which state may follow which; what is not listed is refused
NEXT = {
    State.BOOKED: {State.ARRIVED, State.IN_CHAIR, State.DONE, State.MISSED, State.CANCELLED},
    State.ARRIVED: {State.IN_CHAIR, State.DONE, State.CANCELLED},
    State.IN_CHAIR: {State.DONE},
}
LATE_ENTRY = timedelta(hours=12)  # a walk-in may be written down after the fact, on the same working day
FURTHEST_AHEAD = timedelta(days=2 * 366)  # a later one is a slip of the finger in the year


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
) -> Appointment:
    """Book the stylist and the place for the client; `at` is now. Raises ValidationError that says why not."""
    appointment = Appointment(
        client=client, kind=kind, stylist=stylist, place=place, starts_at=starts_at, booked_by=by, note=note
    )
    return _stand(appointment, at=at)


def move_appointment(
    *, appointment: Appointment, starts_at: datetime, stylist: User, place: Place, by: User, at: datetime
) -> Appointment:
    """Give a booked appointment another time, stylist or place; refused like a new one."""
    with transaction.atomic():
        appointment = Appointment.objects.select_for_update().get(pk=appointment.pk)
        if appointment.state != State.BOOKED:
            raise ValidationError(
                f"This appointment is {appointment.get_state_display().lower()}; only a booked one can be moved."
            )
        appointment.starts_at, appointment.stylist, appointment.place = starts_at, stylist, place
        appointment.booked_by = by
        return _stand(appointment, at=at)


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


def mark_arrived(*, appointment: Appointment) -> Appointment:
    return _advance(appointment, State.ARRIVED)


def mark_in_chair(*, appointment: Appointment) -> Appointment:
    return _advance(appointment, State.IN_CHAIR)


def mark_done(*, appointment: Appointment) -> Appointment:
    return _advance(appointment, State.DONE)


def _stand(appointment: Appointment, *, at: datetime) -> Appointment:
    """Work out the span, look for clashes, save; the database has the last word."""
    kind = appointment.kind
    if appointment.starts_at < at - LATE_ENTRY:
        raise ValidationError(
            {"starts_at": f"{localtime(appointment.starts_at):%A %d %B, %H:%M} is over; choose a time to come."}
        )
    if appointment.starts_at > at + FURTHEST_AHEAD:
        raise ValidationError({"starts_at": "That is more than two years ahead; write the year again."})
    appointment.ends_at = appointment.starts_at + timedelta(minutes=kind.minutes)
    appointment.place_free_at = appointment.ends_at + timedelta(minutes=kind.clean_up_minutes)
    try:
        with transaction.atomic():
            appointment.full_clean()
            clash = clash_of(appointment)
            if clash:
                raise ValidationError({"starts_at": clash})
            appointment.save()
    except IntegrityError as refusal:
        # somebody booked between the question and the save; say who, now that it can be seen
        sentence = clash_of(appointment) or "That time has just been taken. Choose another."
        raise ValidationError({"starts_at": sentence}) from refusal
    return appointment


def clash_of(appointment: Appointment) -> str:
    """The sentence that names what stands in the way of this appointment; empty when nothing does."""
    standing = Appointment.objects.standing().exclude(pk=appointment.pk).select_related("client", "place", "stylist")
    starts_at, ends_at = appointment.starts_at, appointment.ends_at
    with_client = standing.filter(client=appointment.client).overlapping(starts_at, ends_at).first()
    if with_client:
        begins, ends = _clock(with_client.starts_at), _clock(with_client.ends_at)
        return f"{appointment.client} already has an appointment from {begins} to {ends}."
    with_stylist = standing.filter(stylist=appointment.stylist).overlapping(starts_at, ends_at).first()
    if with_stylist:
        return f"{appointment.stylist} is with {with_stylist.client} until {_clock(with_stylist.ends_at)}."
    at_place = standing.holding_place(appointment.place, starts_at, appointment.place_free_at).first()
    if at_place and at_place.starts_at >= starts_at:
        return f"{appointment.place} is taken by {at_place.client} from {_clock(at_place.starts_at)}."
    if at_place:
        return f"{appointment.place} is free again at {_clock(at_place.place_free_at)}, after {at_place.client}."
    return ""


def _clock(moment: datetime) -> str:
    return f"{localtime(moment):%H:%M}"  # people read the salon's clock, the database keeps UTC


@transaction.atomic
def _close(appointment: Appointment, state: Appointment.State, *, by: User, because: str, at: datetime) -> Appointment:
    def closed(fresh: Appointment) -> None:
        fresh.closed_by, fresh.closed_because, fresh.closed_at = by, because, at

    return _advance(appointment, state, closed)


@transaction.atomic
def _advance(
    appointment: Appointment, state: Appointment.State, also: Callable[[Appointment], None] = lambda fresh: None
) -> Appointment:
    fresh = Appointment.objects.select_for_update().get(pk=appointment.pk)
    if state not in NEXT.get(State(fresh.state), set()):
        raise ValidationError(
            f"This appointment is {fresh.get_state_display().lower()}; it can't become “{state.label.lower()}”."
        )
    fresh.state = state
    also(fresh)
    fresh.full_clean()
    fresh.save()
    return fresh
