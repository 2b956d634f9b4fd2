"""What the pages that set up the salon show: weeks in short, who does what, the last change, visits in the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.timezone import localtime

from fittings.free_times import stylists
from fittings.hours.wall_clock import day_begins
from fittings.models import Appointment, OpeningHours, ServiceKind, TimeOff, Weekday, WorkingHours
from salon.models import User

VISITS_A_PAGE = 20


@dataclass(frozen=True)
class PersonTold:
    """One line of the list of people."""

    user: User
    role: str
    holds_visits: bool
    does: list[ServiceKind]
    """What is kept for her and some others; empty also where everybody does everything."""
    does_everything: bool
    week: list[str]


def people_told() -> list[PersonTold]:
    """Everybody, those who left last; six queries."""
    kinds = list(ServiceKind.objects.offered().prefetch_related("done_by"))
    named = {kind.pk: {user.pk for user in kind.done_by.all()} for kind in kinds}
    may = set(stylists().values_list("pk", flat=True))
    everybody = User.objects.order_by("-is_active", "first_name", "username")
    told = []
    for user in everybody.prefetch_related("groups", "working_hours"):
        hers = [kind for kind in kinds if not named[kind.pk] or user.pk in named[kind.pk]] if user.pk in may else []
        told.append(
            PersonTold(
                user=user,
                role=", ".join(group.name for group in user.groups.all()),
                holds_visits=user.pk in may,
                does=hers,
                does_everything=len(hers) == len(kinds),
                week=week_told(user.working_hours.all()),
            )
        )
    return told


def week_told(week: Iterable[OpeningHours | WorkingHours]) -> list[str]:
    """Weekdays in a row with the same hours in one line: “Monday to Friday 09:00–17:30, break 13:00–13:30”."""
    hours = {row.weekday: _hours_told(row) for row in week}
    lines = []
    for told, run in groupby(Weekday, key=lambda weekday: hours.get(weekday)):
        days = [str(weekday.label) for weekday in run]
        if told is not None:
            lines.append(f"{days[0] if len(days) == 1 else f'{days[0]} to {days[-1]}'} {told}")
    return lines


def away_told(time_off: TimeOff) -> str:
    """From when until when, by the clock in force; whole days without their midnights."""
    begins, ends = localtime(time_off.starts_at), localtime(time_off.ends_at)
    zone = ZoneInfo(str(begins.tzinfo))
    if time_off.starts_at == day_begins(begins.date(), zone) and time_off.ends_at == day_begins(ends.date(), zone):
        last = ends.date() - timedelta(days=1)
        first = _day_told(begins.date())
        return f"{first}, all day" if last == begins.date() else f"{first} to {_day_told(last)}, all day"
    if begins.date() == ends.date():
        return f"{_day_told(begins.date())}, {begins:%H:%M}–{ends:%H:%M}"
    return f"{_day_told(begins.date())}, {begins:%H:%M} to {_day_told(ends.date())}, {ends:%H:%M}"


def _day_told(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"


def last_change(history: Any) -> Any:
    """The newest version of a record, or of all records of a manager, with who made it; None where there is none."""
    return history.select_related("history_user").order_by("-history_date", "-history_id").first()


def visits_in_the_way(request: HttpRequest, visits: QuerySet[Appointment]) -> Page[Appointment]:
    return Paginator(visits, VISITS_A_PAGE).get_page(request.GET.get("page"))


def _hours_told(row: OpeningHours | WorkingHours) -> str:
    if isinstance(row, OpeningHours):
        return f"{row.opens:%H:%M}–{row.closes:%H:%M}"
    pause = f", break {row.break_begins:%H:%M}–{row.break_ends:%H:%M}" if row.break_begins and row.break_ends else ""
    return f"{row.begins:%H:%M}–{row.ends:%H:%M}{pause}"
