"""Keeps when the salon is open and when its people work: the only writer of hours, closures and time off.

What is booked already stays booked, whatever is written here; which visits lie in the way is for the pages to show
(`fittings.setting_up.in_the_way`). Who changed what and when is kept with the records, those taken away included.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any, TypedDict, TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localtime

from fittings.models import Closure, OpeningHours, TimeOff, Weekday, WorkingHours
from salon.holding import hold_salon
from salon.models import User

# what lies further away is a slip of the finger in the year
FURTHEST_AHEAD = timedelta(days=3 * 366)
FURTHEST_BACK = timedelta(days=366)

Day = TypeVar("Day", OpeningHours, WorkingHours)
Stored = TypeVar("Stored", OpeningHours, WorkingHours, Closure, TimeOff)


class OpeningDay(TypedDict):
    """One weekday on which the salon opens."""

    opens: time
    closes: time


class WorkingDay(TypedDict):
    """One weekday on which she works; the break is whole or missing."""

    begins: time
    ends: time
    break_begins: time | None
    break_ends: time | None


class ClosureFields(TypedDict):
    first_day: date
    last_day: date
    because: str
    opens: time | None
    closes: time | None


class TimeOffFields(TypedDict):
    stylist: User
    starts_at: datetime
    ends_at: datetime
    because: str


@transaction.atomic
def keep_opening_hours(*, hours: Mapping[int, OpeningDay], by: User) -> list[str]:
    """Keep the week: a weekday that is missing is closed, and none at all means that no hours limit the salon.

    Returns the weekdays that changed. A day that can't be is refused under its name, and nothing is kept then.
    """
    hold_salon()
    kept = {row.weekday: row for row in OpeningHours.objects.select_for_update()}
    wanted = {weekday: kept.get(weekday) or OpeningHours(weekday=weekday) for weekday in sorted(hours)}
    return _keep_week(kept, wanted, hours, by)


@transaction.atomic
def keep_working_hours(*, stylist: User, hours: Mapping[int, WorkingDay], by: User) -> list[str]:
    """Keep her week: a weekday that is missing is free, and none at all means that she works while the salon is open.

    Returns the weekdays that changed. A day that can't be is refused under its name, and nothing is kept then.
    """
    hold_salon()
    kept = {row.weekday: row for row in WorkingHours.objects.select_for_update().filter(stylist=stylist)}
    wanted = {weekday: kept.get(weekday) or WorkingHours(weekday=weekday, stylist=stylist) for weekday in sorted(hours)}
    return _keep_week(kept, wanted, hours, by)


@transaction.atomic
def keep_closure(*, closure: Closure | None, fields: ClosureFields, by: User, on: date) -> Closure:
    """Close the salon for these days, or shorten them; `closure` is the one to change, None for a new one.

    Two closures never share a day, so that every day has one reason and one set of hours.
    """
    hold_salon()
    kept = Closure() if closure is None else Closure.objects.select_for_update().get(pk=closure.pk)
    if not _set(kept, fields):
        return kept
    kept.full_clean()
    if kept.last_day < on:
        raise ValidationError({"last_day": f"The {kept.last_day:%d %B %Y} is over; choose days to come."})
    _not_by_a_slip(kept.first_day, on, "first_day")
    _not_by_a_slip(kept.last_day, on, "last_day")
    other = Closure.objects.touching(kept.first_day, kept.last_day).exclude(pk=kept.pk).first()
    if other is not None:
        days = f"{other.first_day:%d %B} to {other.last_day:%d %B %Y}"
        raise ValidationError({"first_day": f"“{other}” takes in some of these days already: {days}. Change that one."})
    return _store(kept, by)


@transaction.atomic
def remove_closure(*, closure: Closure, by: User) -> None:
    """Open as usual again."""
    _take_away(closure, by)


@transaction.atomic
def keep_time_off(*, time_off: TimeOff | None, fields: TimeOffFields, by: User, at: datetime) -> TimeOff:
    """Let a stylist be away; `time_off` is the one to change, None for a new one."""
    hold_salon()
    kept = TimeOff() if time_off is None else TimeOff.objects.select_for_update().get(pk=time_off.pk)
    if not _set(kept, fields):
        return kept
    kept.full_clean()
    if kept.ends_at <= at:
        raise ValidationError({"ends_at": f"{localtime(kept.ends_at):%d %B %Y, %H:%M} is over; choose a time to come."})
    _not_by_a_slip(kept.starts_at.date(), at.date(), "starts_at")
    _not_by_a_slip(kept.ends_at.date(), at.date(), "ends_at")
    of_hers = TimeOff.objects.filter(stylist=kept.stylist).exclude(pk=kept.pk)
    other = of_hers.overlapping(kept.starts_at, kept.ends_at).first()
    if other is not None:
        begins, ends = localtime(other.starts_at), localtime(other.ends_at)
        raise ValidationError(
            {
                "starts_at": f"{kept.stylist} is away already from {begins:%d %B, %H:%M} to {ends:%d %B, %H:%M}. "
                "Change that one."
            }
        )
    return _store(kept, by)


@transaction.atomic
def remove_time_off(*, time_off: TimeOff, by: User) -> None:
    """Let her work as usual again."""
    _take_away(time_off, by)


def _keep_week(kept: Mapping[int, Day], wanted: Mapping[int, Day], hours: Mapping[int, Any], by: User) -> list[str]:
    changed, refused = [], {}
    for weekday, row in wanted.items():
        if not _set(row, hours[weekday]):
            continue
        try:
            row.full_clean()
        except ValidationError as refusal:
            refused[Weekday(weekday).name.lower()] = refusal.messages
        changed.append(weekday)
    if refused:
        raise ValidationError(refused)
    for weekday in changed:
        _store(wanted[weekday], by)
    for weekday in kept.keys() - wanted.keys():
        _take_away(kept[weekday], by)
        changed.append(weekday)
    return [str(Weekday(weekday).label) for weekday in sorted(changed)]


def _not_by_a_slip(day: date, on: date, field: str) -> None:
    if not on - FURTHEST_BACK <= day <= on + FURTHEST_AHEAD:
        raise ValidationError({field: f"{day.year:04d} is too far from now; write the year again."})


def _set(row: Stored, fields: Mapping[str, Any]) -> bool:
    """Put the values on the row; whether any of them differs."""
    before = {name: None if row._state.adding else getattr(row, name) for name in fields}
    for name, value in fields.items():
        setattr(row, name, value)
    return row._state.adding or before != dict(fields)


def _store(row: Stored, by: User) -> Stored:
    _sign(row, by)
    row.save()
    return row


def _take_away(row: Stored, by: User) -> None:
    """Delete the stored row, which somebody else may just have deleted."""
    stored = type(row)._default_manager.select_for_update().filter(pk=row.pk).first()
    if stored is not None:
        _sign(stored, by)
        stored.delete()


def _sign(row: Any, by: User) -> None:
    row._history_user = by  # where django-simple-history looks for who did it
