"""Which visits that are booked lie where the salon is closed, somebody is away, or a place or person is no more.

None of them is moved by what is written down there: the pages list them, so that somebody rings and moves them.
One query each; the pages show as many as fit. Wall clock is that of the zone in force.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.db.models.functions import TruncDate

from fittings.hours.wall_clock import day_begins
from fittings.models import Appointment, Closure, OpeningHours, Place, TimeOff, WorkingHours
from salon.models import User

State = Appointment.State


def to_come(at: datetime) -> QuerySet[Appointment]:
    """Those booked that end after now, in order of time, with what a list of them shows."""
    booked = Appointment.objects.filter(state__in=(State.BOOKED, State.ARRIVED), ends_at__gt=at)
    return booked.select_related("client", "kind", "stylist", "place")


def in_closure(closure: Closure, at: datetime, zone: ZoneInfo) -> QuerySet[Appointment]:
    """Those in its days; of a short day, those outside its hours. `zone` is the one in force."""
    begins, ends = day_begins(closure.first_day, zone), day_begins(closure.last_day + timedelta(days=1), zone)
    found = to_come(at).filter(starts_at__lt=ends, ends_at__gt=begins)
    if closure.opens and closure.closes:
        return found.exclude(_within(closure.opens, closure.closes))
    return found


def in_time_off(time_off: TimeOff, at: datetime) -> QuerySet[Appointment]:
    return to_come(at).filter(
        stylist=time_off.stylist_id, starts_at__lt=time_off.ends_at, ends_at__gt=time_off.starts_at
    )


def outside_opening_hours(week: Iterable[OpeningHours], at: datetime) -> QuerySet[Appointment]:
    """Those outside the usual week; none where no hours are written down. Closures are another matter."""
    days = list(week)
    if not days:
        return Appointment.objects.none()
    return to_come(at).exclude(_any(_on(day.weekday) & _within(day.opens, day.closes) for day in days))


def outside_working_hours(stylist: User, week: Iterable[WorkingHours], at: datetime) -> QuerySet[Appointment]:
    """Hers outside her usual week or in a break; none where no hours of hers are written down."""
    days = list(week)
    if not days:
        return Appointment.objects.none()
    inside = []
    for day in days:
        works = _on(day.weekday) & _within(day.begins, day.ends)
        if day.break_begins and day.break_ends:
            works &= _within(day.begins, day.break_begins) | _within(day.break_ends, day.ends)
        inside.append(works)
    return of_stylist(stylist, at).exclude(_any(inside))


def of_stylist(stylist: User, at: datetime) -> QuerySet[Appointment]:
    return to_come(at).filter(stylist=stylist)


def at_place(place: Place, at: datetime) -> QuerySet[Appointment]:
    return to_come(at).filter(place=place)


def _within(begins: time, ends: time) -> Q:
    """From the one to the other on one day."""
    on_one_day = Q(starts_at__date=TruncDate("ends_at"))
    return on_one_day & Q(starts_at__time__gte=begins, ends_at__time__lte=ends)


def _on(weekday: int) -> Q:
    return Q(starts_at__iso_week_day=weekday)


def _any(conditions: Iterable[Q]) -> Q:
    found = Q()
    for condition in conditions:
        found |= condition
    return found
