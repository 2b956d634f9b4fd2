"""Reads one day for its board, in a fixed number of queries however many come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils.timezone import localdate, localtime

from fittings.desk.board_ways import ways_of
from fittings.desk.day import (
    BY_STYLIST,
    FINE_BELOW,
    Block,
    Column,
    DayBoard,
    Deed,
    Scale,
    Shade,
    UnitOut,
)
from fittings.free_times import stylists
from fittings.hours.spans import Span, common, minus
from fittings.hours.wall_clock import day_begins, hours_on
from fittings.hours_kept import SalonHours, StylistHours, salon_hours, stylists_hours
from fittings.models import Appointment, Place, UnitToTry
from fittings.readiness import Missing, missing_of
from salon.models import Units, User

State = Appointment.State
USUAL_HOURS = (time(9), time(18))  # shown where no opening hours are written down, and on a closed day


@dataclass(frozen=True)
class _Day:
    """What was read of a day."""

    day: date
    by: str
    reader: User
    units_of_length: Units
    at: datetime
    salon: SalonHours
    hours: dict[int, StylistHours]
    appointments: Sequence[Appointment]
    places: Sequence[Place]
    stylists: Sequence[User]
    missing: dict[int, list[Missing]]
    units: dict[int, list[UnitToTry]]

    @property
    def whole(self) -> Span:
        return Span(day_begins(self.day, self.salon.zone), day_begins(self.day + timedelta(days=1), self.salon.zone))

    @property
    def across(self) -> Sequence[Place] | Sequence[User]:
        return self.stylists if self.by == BY_STYLIST else self.places


def board_of(*, day: date, by: str, reader: User, units: Units, at: datetime) -> DayBoard:
    """The day by place or by stylist, as this reader sees it: hers are marked, and hers is the first column."""
    read = _read(day, by, reader, units, at)
    scale = _scale_of(read)
    column_of = {one.pk: number for number, one in enumerate(read.across, start=1)}
    blocks = [_block(appointment, read, scale, column_of) for appointment in read.appointments]
    standing = tuple(block for block in blocks if block.state in Appointment.STANDING)
    now_row = scale.row(at) if scale.span.starts_at <= at < scale.span.ends_at else None
    shortest = min((one.ends_at - one.starts_at for one in read.appointments), default=FINE_BELOW)
    return DayBoard(
        day=day,
        by=by,
        starts_at=scale.span.starts_at.isoformat(),
        rows=scale.rows,
        is_fine=shortest < FINE_BELOW,
        is_today=day == localdate(at),
        now_row=now_row,
        is_closed=not common([read.whole], read.salon.open),
        closed_because="; ".join(rule.because for rule in read.salon.rules_on(day) if rule.closes_the_day),
        hours=scale.hours(),
        columns=_columns(read, standing),
        shades=tuple(_shades(read, scale)),
        blocks=standing,
        gone=tuple(block for block in blocks if block.state not in Appointment.STANDING),
    )


def _read(day: date, by: str, reader: User, units_of_length: Units, at: datetime) -> _Day:
    salon = salon_hours(day, day)
    begins, ends = (day_begins(one, salon.zone) for one in (day, day + timedelta(days=1)))
    appointments = list(Appointment.objects.between(begins, ends).prefetch_related("kind__done_by"))
    at_work = {user.pk: user for user in stylists()}
    at_work |= {appointment.stylist_id: appointment.stylist for appointment in appointments}
    places = {place.pk: place for place in Place.objects.all()}
    used = {appointment.place_id for appointment in appointments}
    units: dict[int, list[UnitToTry]] = {}
    listed = UnitToTry.objects.filter(appointment__in=[one.pk for one in appointments])
    for to_try in listed.select_related("unit__variant__piece", "unit__variant__shade"):
        units.setdefault(to_try.appointment_id, []).append(to_try)
    return _Day(
        day=day,
        by=by,
        reader=reader,
        units_of_length=units_of_length,
        at=at,
        salon=salon,
        hours=stylists_hours(at_work.values(), day, day),
        appointments=appointments,
        places=[place for place in places.values() if place.is_in_use or place.pk in used],
        stylists=sorted(at_work.values(), key=lambda user: user.pk != reader.pk),
        missing=missing_of(appointments, at=at),
        units=units,
    )


def _scale_of(read: _Day) -> Scale:
    """From opening to closing, and as far as anybody is booked."""
    usual = hours_on(read.day, *USUAL_HOURS, read.salon.zone) or read.whole
    is_limited = read.salon.week.days is not None and read.salon.open
    spans = list(common(read.salon.open, [read.whole])) if is_limited else [usual]
    spans += [Span(one.starts_at, max(one.ends_at, one.place_free_at)) for one in read.appointments]
    return Scale.around(spans or [usual], day=read.whole)


def _columns(read: _Day, standing: Sequence[Block]) -> tuple[Column, ...]:
    used = {block.column for block in standing}
    found = []
    for number, one in enumerate(read.across, start=1):
        note = ""
        if isinstance(one, Place):
            note = "private" if one.is_private else ""
        elif one.pk == read.reader.pk:
            note = "you"
        found.append(Column(number, one.pk, str(one), note, is_free=number not in used))
    return tuple(found)


def _shades(read: _Day, scale: Scale) -> list[Shade]:
    """When the salon is closed; and in the columns of stylists, when they are not at work."""
    board = [scale.span]
    open_now = common(board, read.salon.open)
    found = [_shade(0, span, scale, "Closed") for span in minus(board, open_now)]
    if read.by == BY_STYLIST:
        for number, stylist in enumerate(read.stylists, start=1):
            hours = read.hours[stylist.pk]
            week = hours.week.days or {}
            pause = (
                week[read.day.isoweekday()].break_on(read.day, read.salon.zone)
                if read.day.isoweekday() in week
                else None
            )
            found += [
                _shade(number, span, scale, "Break" if span == pause else "Not at work")
                for span in minus(open_now, hours.at_work(read.salon))
            ]
    return found


def _shade(column: int, span: Span, scale: Scale, says: str) -> Shade:
    return Shade(column, scale.row(span.starts_at), scale.rows_of(span.starts_at, span.ends_at), says)


def _block(appointment: Appointment, read: _Day, scale: Scale, column_of: dict[int, int]) -> Block:
    by_stylist = read.by == BY_STYLIST
    clean_rows = 0
    if not by_stylist and appointment.place_free_at > appointment.ends_at:
        clean_rows = scale.rows_of(appointment.ends_at, appointment.place_free_at)
    return Block(
        reference=appointment.reference,
        client=appointment.client.reference,
        name=str(appointment.client),
        begins=f"{localtime(appointment.starts_at):%H:%M}",
        ends=f"{localtime(appointment.ends_at):%H:%M}",
        starts_at=appointment.starts_at.isoformat(),
        column=column_of[appointment.stylist_id if by_stylist else appointment.place_id],
        from_row=scale.row(appointment.starts_at),
        rows=scale.rows_of(appointment.starts_at, appointment.ends_at),
        clean_rows=clean_rows,
        kind=str(appointment.kind),
        stylist=str(appointment.stylist),
        place=str(appointment.place),
        note=appointment.note,
        state=appointment.state,
        state_label=appointment.get_state_display(),
        is_hers=appointment.stylist_id == read.reader.pk,
        is_private=appointment.place.is_private,
        sequence=appointment.sequence,
        missing=tuple(read.missing[appointment.pk]),
        units=tuple(
            UnitOut(one.pk, one.unit.number, one.unit.variant.told(read.units_of_length), one.laid_out_at is not None)
            for one in read.units.get(appointment.pk, [])
        ),
        deeds=_deeds(appointment, read),
        ways=ways_of(appointment, places=read.places, stylists=read.stylists),
    )


def _deeds(appointment: Appointment, read: _Day) -> tuple[Deed, ...]:
    """The one or two things that come next; nobody arrives on a day that is still to come."""
    if read.day > localdate(read.at):
        return ()
    if appointment.state == State.BOOKED:
        late = appointment.starts_at <= read.at
        after = Deed(State.MISSED.value, "Did not come") if late else Deed(State.IN_CHAIR.value, "In the chair")
        return Deed(State.ARRIVED.value, "Arrived"), after
    following = {
        State.ARRIVED: Deed(State.IN_CHAIR.value, "In the chair"),
        State.IN_CHAIR: Deed(State.DONE.value, "Done"),
    }
    deed = following.get(State(appointment.state))
    return (deed,) if deed else ()
