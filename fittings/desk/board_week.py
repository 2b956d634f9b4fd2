"""A week by its days: everybody's, or one stylist's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.timezone import localdate, localtime
from django.views.decorators.http import require_safe

from fittings.desk.day_asked import day_asked_for
from fittings.free_times import stylists
from fittings.hours.spans import common
from fittings.hours.wall_clock import day_begins, whole_day
from fittings.hours_kept import SalonHours, salon_hours
from fittings.models import Appointment
from salon.common.access import needs
from salon.current import SalonRequest
from salon.models import User

A_WEEK = timedelta(days=7)


@dataclass
class WeekDay:
    day: date
    is_today: bool
    closed: str
    """Why nobody is expected; empty on an open day."""
    appointments: list[Appointment] = field(default_factory=list)


@needs("fittings.view_appointment")
@require_safe
def week(request: SalonRequest) -> HttpResponse:
    day = day_asked_for(request.GET.get("day"), localdate())
    able = list(stylists())
    stylist = next((one for one in able if str(one.pk) == request.GET.get("stylist")), None)
    monday = day - timedelta(days=day.weekday())
    context: dict[str, Any] = {
        "place": "today",
        "days": days_of_week(monday, stylist=stylist),
        "monday": monday,
        "sunday": monday + timedelta(days=6),
        "week_before": monday - A_WEEK,
        "week_after": monday + A_WEEK,
        "is_this_week": monday <= localdate() < monday + A_WEEK,
        "stylists": able,
        "stylist": stylist,
    }
    return render(request, "fittings/desk/week.html", context)


def days_of_week(monday: date, *, stylist: User | None) -> Sequence[WeekDay]:
    """Seven days from that Monday with those who are booked, in order of time. Five queries at most."""
    salon = salon_hours(monday, monday + timedelta(days=6))
    days = [_empty_day(monday + timedelta(days=number), salon) for number in range(7)]
    begins, ends = day_begins(monday, salon.zone), day_begins(monday + A_WEEK, salon.zone)
    booked = Appointment.objects.standing().between(begins, ends)
    for appointment in booked.filter(stylist=stylist) if stylist else booked:
        days[(localtime(appointment.starts_at).date() - monday).days].appointments.append(appointment)
    return days


def _empty_day(day: date, salon: SalonHours) -> WeekDay:
    whole = whole_day(day, salon.zone)
    is_open = whole is not None and common([whole], salon.open)
    reasons = "; ".join(rule.because for rule in salon.rules_on(day) if rule.closes_the_day)
    return WeekDay(day, day == localdate(), "" if is_open else f"Closed: {reasons}." if reasons else "Closed.")
