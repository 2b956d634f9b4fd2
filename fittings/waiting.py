"""Who waits for a visit, who of them could take a time that came free, and in what order.

The only writer of WaitingEntry. A time is taken by booking it: `booking` has the last word on whether it may be.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localtime

from clients.models import Client
from fittings.booking import book_appointment, cancel_appointment
from fittings.free_times import LONGEST, NOON, STEP_MINUTES
from fittings.hours.spans import Span, minus
from fittings.hours_kept import salon_hours, stylists_hours
from fittings.models import Appointment, PartOfDay, Place, ServiceKind, WaitingEntry
from salon.common.days import day_and_month
from salon.models import User

SHORT_NOTICE = timedelta(hours=3)  # sooner than that only those are asked who said they could


@dataclass(frozen=True, slots=True)
class Fit:
    """One wish that the freed time would meet: when, with whom and where, and in words how well."""

    entry: WaitingEntry
    starts_at: datetime
    stylist: User
    place: Place
    why: tuple[str, ...]


@transaction.atomic
def put_on_list(
    *,
    client: Client,
    kind: ServiceKind,
    stylist: User | None = None,
    earliest_on: date,
    latest_on: date | None = None,
    part_of_day: str = PartOfDay.ANY,
    weekdays: Iterable[int] = (),
    short_notice: bool = False,
    instead_of: Appointment | None = None,
    note: str = "",
    by: User,
    at: datetime,
) -> WaitingEntry:
    """Write down what she waits for; raises ValidationError that says what to mend."""
    days = sorted(set(weekdays))
    if not set(days) <= set(range(1, 8)):
        raise ValidationError({"weekdays": "A weekday is 1 (Monday) to 7 (Sunday)."})
    if latest_on and latest_on < localtime(at).date():
        raise ValidationError({"latest_on": "That day is over; choose one to come, or leave it empty."})
    if instead_of and (instead_of.client_id != client.pk or instead_of.state != Appointment.State.BOOKED):
        raise ValidationError({"instead_of": "She can only come earlier than an appointment of hers that is booked."})
    if WaitingEntry.objects.waiting().filter(client=client, kind=kind).exists():
        raise ValidationError({"kind": f"{client} is on the list for this already. Take that wish off first."})
    entry = WaitingEntry(
        client=client,
        kind=kind,
        stylist=stylist,
        earliest_on=earliest_on,
        latest_on=latest_on,
        part_of_day=part_of_day,
        weekdays=days,
        short_notice=short_notice,
        instead_of=instead_of,
        note=" ".join(note.split()),
        made_by=by,
        made_at=at,
    )
    entry.full_clean()
    entry.save()
    return entry


@transaction.atomic
def take_off_list(*, entry: WaitingEntry, because: str, by: User, at: datetime) -> WaitingEntry:
    """She no longer waits; why may be left empty."""
    kept = _still_waiting(entry)
    kept.state = WaitingEntry.State.GIVEN_UP
    kept.closed_by, kept.closed_at, kept.closed_because = by, at, " ".join(because.split())
    kept.full_clean()
    kept.save()
    return kept


@transaction.atomic
def book_from_list(
    *,
    entry: WaitingEntry,
    starts_at: datetime,
    stylist: User,
    place: Place,
    by: User,
    at: datetime,
    anyway_because: str = "",
) -> Appointment:
    """Book what she waited for, and give back the later appointment that it takes the place of. Whole or not at all."""
    kept = _still_waiting(entry)
    later = kept.instead_of
    if later and later.state == Appointment.State.BOOKED:
        cancel_appointment(appointment=later, by=by, because="She comes earlier, from the waiting list.", at=at)
    appointment = book_appointment(
        client=kept.client,
        kind=kept.kind,
        stylist=stylist,
        place=place,
        starts_at=starts_at,
        by=by,
        at=at,
        note=kept.note,
        anyway_because=anyway_because,
        awaits=later.awaits if later else None,
    )
    kept.state, kept.booked_as = WaitingEntry.State.BOOKED, appointment
    kept.closed_by, kept.closed_at = by, at
    kept.full_clean()
    kept.save()
    return appointment


def who_could_take(*, appointment: Appointment, at: datetime) -> list[Fit]:
    """Who of those that wait could take the time of an appointment that no longer stands, the best fit first.

    In a fixed number of queries. From the freed beginning, or the next quarter hour when that is over; with the same
    stylist; at the same place, or another that suits the visit and is free. First come those who asked for this
    stylist, then those whose visit fills the time best, then those who have waited longest.
    """
    starts_at = max(appointment.starts_at, _next_quarter(at))
    if starts_at >= appointment.ends_at:
        return []
    day = localtime(starts_at)
    entries = _who_may_be_asked(appointment, day, soon=starts_at - at < SHORT_NOTICE)
    until = starts_at + LONGEST
    standing = list(
        Appointment.objects.standing()
        .filter(starts_at__gt=starts_at - LONGEST, starts_at__lt=until)
        .order_by("starts_at")
    )
    free_until = _stylist_free_until(appointment.stylist, starts_at, standing)
    if free_until is None:
        return []
    places = sorted(Place.objects.in_use(), key=lambda place: place.pk != appointment.place_id)  # the same one first
    fits = []
    for entry in entries:
        ends_at = starts_at + timedelta(minutes=entry.kind.minutes)
        visit = Span(starts_at, ends_at)
        if ends_at > free_until or _is_elsewhere(entry, visit, standing):
            continue
        place = _free_place(entry.kind, visit, places, standing)
        if place:
            fits.append(Fit(entry, starts_at, appointment.stylist, place, _why(entry, appointment, place)))
    freed = appointment.ends_at - starts_at
    return sorted(
        fits,
        key=lambda fit: (
            fit.entry.stylist_id is None,
            abs(freed - timedelta(minutes=fit.entry.kind.minutes)),
            fit.entry.made_at,
        ),
    )


def _who_may_be_asked(appointment: Appointment, day: datetime, *, soon: bool) -> list[WaitingEntry]:
    """Those whose wish takes in that day and time, and whose visit this stylist can hold."""
    entries = (
        WaitingEntry.objects.waiting()
        .on_day(day.date())
        .filter(client__merged_into__isnull=True, client__erased_at__isnull=True, kind__is_offered=True)
        .exclude(client=appointment.client_id)
        .select_related("client", "kind", "stylist", "instead_of")
        .prefetch_related("kind__done_by")
    )
    if soon:
        entries = entries.filter(short_notice=True)
    part = PartOfDay.MORNINGS if day.hour < NOON else PartOfDay.AFTERNOONS
    return [
        entry
        for entry in entries
        if entry.part_of_day in (PartOfDay.ANY, part)
        and (not entry.weekdays or day.isoweekday() in entry.weekdays)
        and entry.stylist_id in (None, appointment.stylist_id)
        and _can_do(entry.kind, appointment.stylist)
        and (entry.instead_of is None or entry.instead_of.starts_at > appointment.starts_at)
    ]


def _can_do(kind: ServiceKind, stylist: User) -> bool:
    ticked = kind.done_by.all()
    return not ticked or stylist in ticked


def _stylist_free_until(stylist: User, starts_at: datetime, standing: list[Appointment]) -> datetime | None:
    """Until when she is at work and free from that moment on; None when she is not."""
    first, last = (moment.date() for moment in (starts_at - timedelta(days=1), starts_at + timedelta(days=2)))
    salon = salon_hours(first, last)
    hers = stylists_hours([stylist], first, last)[stylist.pk].at_work(salon)
    taken = [Span(other.starts_at, other.ends_at) for other in standing if other.stylist_id == stylist.pk]
    holds = (span.ends_at for span in minus(hers, taken) if span.starts_at <= starts_at < span.ends_at)
    return next(holds, None)


def _is_elsewhere(entry: WaitingEntry, visit: Span, standing: list[Appointment]) -> bool:
    """Whether she has another appointment then, besides the one she would come earlier than."""
    return any(
        other.client_id == entry.client_id
        and other.pk != entry.instead_of_id
        and other.starts_at < visit.ends_at
        and other.ends_at > visit.starts_at
        for other in standing
    )


def _free_place(kind: ServiceKind, visit: Span, places: list[Place], standing: list[Appointment]) -> Place | None:
    free_again = visit.ends_at + timedelta(minutes=kind.clean_up_minutes)
    taken = {
        other.place_id for other in standing if other.starts_at < free_again and other.place_free_at > visit.starts_at
    }
    suiting = (place for place in places if place.sort in kind.place_sorts and place.pk not in taken)
    return next(suiting, None)


def _why(entry: WaitingEntry, appointment: Appointment, place: Place) -> tuple[str, ...]:
    said = []
    if entry.stylist_id:
        said.append(f"asked for {appointment.stylist}")
    if entry.kind_id == appointment.kind_id:
        said.append("the same kind of visit")
    if entry.instead_of:
        said.append(f"booked for {day_and_month(localtime(entry.instead_of.starts_at))}, would come earlier")
    if entry.short_notice:
        said.append("can come at short notice")
    if place.pk != appointment.place_id:
        said.append(f"at {place}")
    said.append(f"waiting since {day_and_month(localtime(entry.made_at))}")
    return tuple(said)


def _next_quarter(moment: datetime) -> datetime:
    past = timedelta(minutes=moment.minute % STEP_MINUTES, seconds=moment.second, microseconds=moment.microsecond)
    return moment if not past else moment - past + timedelta(minutes=STEP_MINUTES)


def _still_waiting(entry: WaitingEntry) -> WaitingEntry:
    kept = WaitingEntry.objects.select_for_update().get(pk=entry.pk)
    if kept.state != WaitingEntry.State.WAITING:
        raise ValidationError(f"{kept.client} is not waiting any more: {kept.get_state_display().lower()}.")
    return kept
