"""Makes, moves and closes appointments: the only writer of them, one deed each.

What stands in the way is `fittings.obstacles`' to say, and `fittings.taking_time` asks it and writes; here is what each
deed means, which state may follow which, and which change is told to calendars (SEQUENCE) and kept as history.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.models import Client
from fittings.hours.wall_clock import NoSuchTime, TwiceThatTime, moment_at
from fittings.hours_kept import salon_zone
from fittings.models import Appointment, AppointmentChange, AwaitedPiece, Place, ServiceKind
from fittings.obstacles import Obstacle, date_said, moment_said, out_of_reach
from fittings.taking_time import (
    BookingRefused,
    give_clean_up_back,
    hold,
    saying_when_else,
    take_time,
    write_down,
)
from pieces.paying import take_deposit as hold_deposit
from salon.models import Salon, User

__all__ = [
    "BookingRefused",
    "book_appointment",
    "book_series",
    "cancel_appointment",
    "mark_arrived",
    "mark_done",
    "mark_in_chair",
    "mark_missed",
    "may_put_back",
    "move_appointment",
    "put_back",
    "take_deposit",
    "take_walk_in",
]

State, What = Appointment.State, AppointmentChange.What

# which state may follow which; what is not listed is refused, but that one marked as missed by mistake is put back
NEXT = {
    State.BOOKED: {State.ARRIVED, State.IN_CHAIR, State.DONE, State.MISSED, State.CANCELLED},
    State.ARRIVED: {State.IN_CHAIR, State.DONE, State.CANCELLED},
    State.IN_CHAIR: {State.DONE},
}
SHORTEST = timedelta(minutes=5)  # a visit that was over before it was to begin still shows in the day
PUT_BACK = "It stood so before she was marked as not having come."
TIMES, WEEKS = range(2, 27), range(1, 53)


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
    once: UUID | None = None,
) -> Appointment:
    """Book the stylist and the place for the client; `at` is now. Raises BookingRefused that says why not.

    anyway_because: why it is booked although something stands in the way that may be gone past.
    awaits: the piece on its way that she comes for.
    once: becomes its UID, so that what is asked twice under the same one, by a form sent twice, is booked once.
    """
    appointment = Appointment(
        client=client, kind=kind, stylist=stylist, place=place, starts_at=starts_at, note=note, booked_by=by
    )
    appointment.awaits, appointment.series, appointment.deposit_minor = awaits, series, kind.deposit_minor
    if once:
        appointment.calendar_uid = once
    with saying_when_else(at=at), transaction.atomic():
        return _booked(appointment, by=by, at=at, anyway_because=anyway_because)


def take_walk_in(
    *,
    client: Client,
    kind: ServiceKind,
    stylist: User,
    place: Place,
    by: User,
    at: datetime,
    note: str = "",
    anyway_because: str = "",
) -> Appointment:
    """Somebody stands at the desk and is taken now: booked from this minute on, and arrived; no deposit is asked."""
    begins = at.replace(second=0, microsecond=0)
    appointment = Appointment(
        client=client, kind=kind, stylist=stylist, place=place, starts_at=begins, note=note, booked_by=by
    )
    with saying_when_else(at=at), transaction.atomic():
        _booked(appointment, by=by, at=at, anyway_because=anyway_because)
        return mark_arrived(appointment=appointment, by=by, at=at)


def book_series(
    *,
    client: Client,
    kind: ServiceKind,
    stylist: User,
    place: Place,
    starts_at: datetime,
    every_weeks: int,
    times: int,
    by: User,
    at: datetime,
    note: str = "",
    anyway_because: str = "",
) -> list[Appointment]:
    """So many visits at one time of day by the salon's clock, so many weeks apart: all of them, or none.

    A refusal names every day that can't be. A time that the clock leaves out on one of the days, or shows twice, is
    refused with that day: only a person can say what is meant.
    """
    if times not in TIMES:
        raise ValidationError({"times": f"A series is {TIMES[0]} to {TIMES[-1]} visits."})
    if every_weeks not in WEEKS:
        raise ValidationError({"every_weeks": f"The visits of a series are {WEEKS[0]} to {WEEKS[-1]} weeks apart."})

    def visit(begins: datetime) -> Appointment:
        appointment = Appointment(
            client=client, kind=kind, stylist=stylist, place=place, starts_at=begins, note=note, booked_by=by
        )
        appointment.series, appointment.deposit_minor = series, kind.deposit_minor
        return appointment

    series, zone = uuid4(), salon_zone()
    if out_of_reach(visit(starts_at), at=at):
        raise BookingRefused(out_of_reach(visit(starts_at), at=at))
    begins_here = starts_at.astimezone(zone)
    booked: list[Appointment] = []
    refused: list[Obstacle] = []
    first_refused: Appointment | None = None
    with saying_when_else(at=at), transaction.atomic():
        for number in range(times):
            day = begins_here.date() + number * timedelta(weeks=every_weeks)
            try:
                begins = moment_at(day, begins_here.time(), zone) if number else starts_at
                booked.append(_booked(visit(begins), by=by, at=at, anyway_because=anyway_because))
            except (NoSuchTime, TwiceThatTime) as clock:
                refused.append(Obstacle("no such time", clock.says, "starts_at", may_pass=False))
            except BookingRefused as refusal:
                first_refused = first_refused or refusal.wanted
                refused += [replace(one, says=f"{date_said(day)}: {one.says}") for one in refusal.obstacles]
        if refused:
            raise BookingRefused(refused, wanted=first_refused)
    return booked


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
    """Give a booked appointment another time, stylist or place; refused like a new one.

    Nothing is written when it is there already: what was picked up is put down again.
    """
    with saying_when_else(at=at), transaction.atomic():
        fresh = _held(appointment, place=place, stylist=stylist)
        if fresh.state != State.BOOKED:
            raise ValidationError(f"This appointment is {fresh.state}; only a booked one can be moved.")
        if (fresh.starts_at, fresh.stylist_id, fresh.place_id) == (starts_at, stylist.pk, place.pk):
            return fresh
        began_at, was_at = fresh.starts_at, fresh.place
        fresh.starts_at, fresh.stylist, fresh.place = starts_at, stylist, place
        fresh.sequence += 1
        take_time(fresh, What.MOVED, by=by, at=at, anyway_because=anyway_because)
        give_clean_up_back(place=was_at, from_=began_at)
        return fresh


@transaction.atomic
def cancel_appointment(*, appointment: Appointment, by: User, because: str, at: datetime) -> Appointment:
    """Give the time back; who cancelled it, when and why stay on it."""
    if not because.strip():
        raise ValidationError({"because": "Write why it is cancelled: “she rang, has a cold” is enough."})
    return _close(_held(appointment), State.CANCELLED, by=by, because=because.strip(), at=at)


@transaction.atomic
def mark_missed(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """She did not come; refused before the appointment has begun."""
    fresh = _held(appointment)
    if at < fresh.starts_at:
        begins = moment_said(fresh.starts_at, salon_zone())
        raise ValidationError(f"It begins on {begins}; whether she comes can't be known before.")
    return _close(fresh, State.MISSED, by=by, because="", at=at)


def may_put_back(appointment: Appointment, *, by: User, at: datetime) -> bool:
    """Whether this user may undo that she did not come: the desk while its day lasts, an owner later too."""
    zone = salon_zone()
    is_its_day = localdate(at, zone) <= localdate(appointment.starts_at, zone)
    return appointment.state == State.MISSED and (is_its_day or by.has_perm("fittings.pass_stop"))


def put_back(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """She came after all, or the wrong one was marked: it is booked again, at its time. Raises BookingRefused where
    that is taken by now.

    What could be gone past when it was booked, a day the salon is closed say, is gone past again and written down.
    """
    with saying_when_else(at=at), transaction.atomic():
        fresh = _held(appointment, stylist=appointment.stylist)
        if fresh.state != State.MISSED:
            raise ValidationError(f"This appointment is {fresh.state}; only one that was missed is put back.")
        if not may_put_back(fresh, by=by, at=at):
            raise ValidationError("The day of this appointment is over; only an owner can put it back now.")
        fresh.state, fresh.closed_by, fresh.closed_at = State.BOOKED, None, None
        fresh.sequence += 1
        take_time(fresh, What.BOOKED, by=by, at=at, anyway_because=PUT_BACK)
        return fresh


@transaction.atomic
def mark_arrived(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """She is here and waits."""
    return _advance(_held(appointment), State.ARRIVED, by=by, at=at)


@transaction.atomic
def mark_in_chair(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """Her visit has begun."""
    return _advance(_held(appointment), State.IN_CHAIR, by=by, at=at)


@transaction.atomic
def mark_done(*, appointment: Appointment, by: User, at: datetime) -> Appointment:
    """The visit is over. One that ends early gives the rest of its time back; one that ends late keeps its planned end,
    for what follows it was promised to somebody else."""
    fresh = _held(appointment)
    if fresh.state == State.BOOKED and at < fresh.starts_at:
        begins = moment_said(fresh.starts_at, salon_zone())
        raise ValidationError(
            f"It begins on {begins}, and she has not been marked as arrived; it can't be over before."
        )
    over_at = max(at.replace(second=0, microsecond=0), fresh.starts_at + SHORTEST)
    if over_at < fresh.ends_at:
        fresh.ends_at = over_at
        clean_at = over_at + timedelta(minutes=fresh.kind.clean_up_minutes)
        fresh.place_free_at = min(fresh.place_free_at, clean_at)
        fresh.sequence += 1
    return _advance(fresh, State.DONE, by=by, at=at)


@transaction.atomic
def take_deposit(*, appointment: Appointment, method: str, salon: Salon, by: User, at: datetime) -> Appointment:
    """The deposit that its kind asked for when it was booked has been paid; it is held for her, with a receipt.

    method: one of `Payment.Method`. Raises ValidationError where none is asked for, or it was taken before.
    """
    fresh = _held(appointment)
    if not fresh.is_standing:
        raise ValidationError(f"This appointment is {fresh.state}; no deposit is due for it.")
    if not fresh.deposit_minor:
        raise ValidationError("No deposit is asked for this appointment.")
    if fresh.deposit_paid_at:
        paid = moment_said(fresh.deposit_paid_at, salon_zone())
        raise ValidationError(f"The deposit was already taken on {paid}, by {fresh.deposit_taken_by}.")
    fresh.deposit_payment = hold_deposit(
        client=fresh.client,
        amount_minor=fresh.deposit_minor,
        # not of which kind: a skin test is nobody's business who sees her receipt
        what_for=f"Appointment on {date_said(localdate(fresh.starts_at, salon_zone()))}",
        method=method,
        salon=salon,
        by=by,
        at=at,
    )
    fresh.deposit_paid_at, fresh.deposit_taken_by = at, by
    return _saved(fresh, What.DEPOSIT, by=by, at=at)


def _booked(appointment: Appointment, *, by: User, at: datetime, anyway_because: str) -> Appointment:
    appointment.client = hold(client=appointment.client, places=[appointment.place], stylists=[appointment.stylist])
    awaits = appointment.awaits
    if awaits and awaits.client_id != appointment.client_id:
        raise ValidationError({"awaits": f"{awaits} is on its way for somebody else."})
    take_time(appointment, What.BOOKED, by=by, at=at, anyway_because=anyway_because)
    return appointment


def _held(appointment: Appointment, *, place: Place | None = None, stylist: User | None = None) -> Appointment:
    """The appointment as kept now, held with its client, its place, and the place and stylist it may move to."""
    seen = Appointment.objects.select_related("client", "place").get(pk=appointment.pk)
    hold(client=seen.client, places=[seen.place, *([place] if place else [])], stylists=[stylist] if stylist else [])
    return Appointment.objects.select_for_update(no_key=True).get(pk=appointment.pk)


def _close(fresh: Appointment, state: Appointment.State, *, by: User, because: str, at: datetime) -> Appointment:
    fresh.closed_by, fresh.closed_because, fresh.closed_at = by, because, at
    fresh.sequence += 1
    closed = _advance(fresh, state, by=by, at=at, because=because)
    give_clean_up_back(place=closed.place, from_=closed.starts_at)
    return closed


def _advance(fresh: Appointment, state: Appointment.State, *, by: User, at: datetime, because: str = "") -> Appointment:
    if state not in NEXT.get(State(fresh.state), set()):
        raise ValidationError(f"This appointment is {fresh.state}; it can't become “{state.label.lower()}”.")
    fresh.state = state
    return _saved(fresh, What(state), by=by, at=at, because=because)


def _saved(
    fresh: Appointment, what: AppointmentChange.What, *, by: User, at: datetime, because: str = ""
) -> Appointment:
    fresh.full_clean()
    fresh.save()
    write_down(fresh, what, by=by, at=at, because=because)
    return fresh
