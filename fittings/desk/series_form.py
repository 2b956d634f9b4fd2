"""Asks for a series of visits at one time of day, some weeks apart, and says of each date whether it is free."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client
from fittings.booking import TIMES, WEEKS, book_series
from fittings.desk.own_time import OwnTimeForm
from fittings.hours.wall_clock import NoSuchTime, TwiceThatTime, moment_at
from fittings.hours_kept import salon_zone
from fittings.models import Appointment, ServiceKind
from fittings.obstacles import obstacles_to
from salon.models import User


@dataclass(frozen=True)
class DatePreviewed:
    """One visit of the series as it would be: its moment, or None when the clock has no such time that day."""

    day: Any
    starts_at: datetime | None
    says: list[str]
    may_pass: bool

    @property
    def is_free(self) -> bool:
        return not self.says


class SeriesForm(OwnTimeForm):
    kind = forms.ModelChoiceField(
        label="Kind of visit",
        queryset=ServiceKind.objects.offered(),
        empty_label="Choose what for",
        error_messages={"required": "Choose what she comes for."},
    )
    every_weeks = forms.IntegerField(label="Every so many weeks", min_value=WEEKS[0], max_value=WEEKS[-1], initial=6)
    times = forms.IntegerField(label="So many times", min_value=TIMES[0], max_value=TIMES[-1], initial=4)
    note = forms.CharField(
        max_length=240, required=False, help_text="For the desk; nothing about her health belongs here."
    )

    def __init__(self, *args: Any, client: Client, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.client = client
        self.fields["starts_on"].label = "The first on"
        self.fields["kind"].widget.attrs["class"] = "form-select"
        for name in ("every_weeks", "times", "note"):
            self.fields[name].widget.attrs |= {"class": "form-control", "autocomplete": "off"}

    def preview(self, *, by: User, at: datetime) -> list[DatePreviewed]:
        """Each date with what stands in its way; nothing is written."""
        asked, zone = self.cleaned_data, salon_zone()
        begins_here = asked["starts_at"].astimezone(zone)
        found = []
        for number in range(asked["times"]):
            day = begins_here.date() + number * timedelta(weeks=asked["every_weeks"])
            try:
                begins = moment_at(day, begins_here.time(), zone) if number else asked["starts_at"]
            except (NoSuchTime, TwiceThatTime) as clock:
                found.append(DatePreviewed(day, None, [clock.says], may_pass=False))
                continue
            stands_in_the_way = obstacles_to(self._visit(begins, by), at=at)
            says = [obstacle.says for obstacle in stands_in_the_way]
            may_pass = all(obstacle.may_pass for obstacle in stands_in_the_way)
            found.append(DatePreviewed(day, begins, says, may_pass))
        return found

    def book(self, *, by: User, at: datetime) -> list[Appointment]:
        """Book all of them, or keep the refusal for the page and return none; pressed twice, it gives the first."""
        if before := self._booked_before(by):
            return before
        names = ("kind", "stylist", "place", "starts_at", "every_weeks", "times", "note")
        wanted = {name: self.cleaned_data[name] for name in names}
        try:
            return book_series(
                client=self.client, by=by, at=at, anyway_because=self.cleaned_data["anyway_because"].strip(), **wanted
            )
        except ValidationError as refusal:
            if meanwhile := self._booked_before(by):
                return meanwhile
            self.refuse(refusal)
            return []

    def _booked_before(self, by: User) -> list[Appointment]:
        """The very same series, booked by the first of two presses."""
        asked = self.cleaned_data
        first = (
            Appointment.objects.standing()
            .filter(client=self.client, kind=asked["kind"], stylist=asked["stylist"], place=asked["place"])
            .filter(starts_at=asked["starts_at"], series__isnull=False, booked_by=by)
            .first()
        )
        if first is None:
            return []
        together = list(Appointment.objects.standing().filter(series=first.series).order_by("starts_at"))
        return together if len(together) == asked["times"] else []

    def _visit(self, begins: datetime, by: User) -> Appointment:
        kind: ServiceKind = self.cleaned_data["kind"]
        ends = begins + timedelta(minutes=kind.minutes)
        return Appointment(
            client=self.client,
            kind=kind,
            stylist=self.cleaned_data["stylist"],
            place=self.cleaned_data["place"],
            starts_at=begins,
            ends_at=ends,
            place_free_at=ends + timedelta(minutes=kind.clean_up_minutes),
            booked_by=by,
        )
