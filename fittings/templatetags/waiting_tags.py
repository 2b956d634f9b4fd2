"""Says in words when a wish on the waiting list could be met."""

from __future__ import annotations

from django import template
from django.utils.timezone import localdate, localtime

from fittings.models import PartOfDay, WaitingEntry
from fittings.models.hours import Weekday
from salon.common.days import day_and_month

register = template.Library()


@register.filter
def when_it_suits(entry: WaitingEntry) -> str:
    """“Mornings, on Tuesday and Friday, from 3 March to 9 April, earlier than 2 May”."""
    said = [PartOfDay(entry.part_of_day).label]
    if entry.weekdays:
        days = [str(Weekday(day).label) for day in entry.weekdays]
        said.append("on " + " and ".join([", ".join(days[:-1]), days[-1]] if len(days) > 1 else days))
    if entry.earliest_on > localdate():
        said.append(f"from {day_and_month(entry.earliest_on)}")
    if entry.latest_on:
        said.append(f"to {day_and_month(entry.latest_on)}")
    if entry.instead_of:
        said.append(f"earlier than {day_and_month(localtime(entry.instead_of.starts_at))}")
    return ", ".join(said)
