"""The time that was pressed on another page, the day's or the free times': with whom, where, and who could begin."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict

from clients.models import Client
from fittings.desk.chosen_time import ChosenTimeField
from fittings.desk.day_asked import YEARS
from fittings.free_times import FreeTime, Wish, free_at, stylists
from fittings.hours.wall_clock import moment_at
from fittings.hours_kept import salon_zone
from fittings.models import Place, ServiceKind
from salon.models import User

SLOT = ("day", "time", "stylist", "place", "chosen")  # how an address names one


@dataclass(frozen=True)
class Slot:
    moment: datetime
    stylist: User | None
    place: Place | None

    def free_for(self, kind: ServiceKind, client: Client, *, at: datetime) -> list[FreeTime]:
        if self.moment < at:
            return []
        wish = Wish(stylist=self.stylist, place=self.place)
        return free_at(kind=kind, moment=self.moment, wish=wish, client=client)


def slot_in(said: QueryDict) -> Slot | None:
    """The slot that an address names by day and time, or a time chosen from a list; None when that can't be meant."""
    try:
        if chosen := ChosenTimeField().clean(said.get("chosen", "")):
            return Slot(chosen.starts_at, chosen.stylist, chosen.place)
        day, clock = date.fromisoformat(said.get("day", "")), time.fromisoformat(said.get("time", ""))
        if day.year not in YEARS or clock.tzinfo:
            return None
        moment = moment_at(day, clock, salon_zone())
    except (ValueError, ValidationError):  # no day, no time, a time that never comes or comes twice: asked by hand then
        return None
    return Slot(moment, _named(stylists(), said.get("stylist")), _named(Place.objects.in_use(), said.get("place")))


def _named(rows: Any, key: str | None) -> Any:
    return rows.filter(pk=key).first() if key and key.isdecimal() and len(key) < 10 else None


def kind_in(said: QueryDict) -> ServiceKind | None:
    """The kind of visit that an address or a post names, when it can be booked."""
    kind: ServiceKind | None = _named(ServiceKind.objects.offered(), said.get("kind"))
    return kind
