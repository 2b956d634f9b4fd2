"""Asks what she would like: for what, with whom, which part of the day, which weekdays, from which day on.

Every answer narrows the free times and may be left out; what can't be read narrows nothing and is told
beside its field.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.timezone import localdate, localtime

from clients.models import Client
from fittings.desk.day_asked import YEARS
from fittings.free_times import Wait, Wish, earliest_for, stylists
from fittings.hours.wall_clock import day_begins
from fittings.hours_kept import salon_zone
from fittings.models import PartOfDay, ServiceKind
from fittings.models.hours import Weekday
from salon.models import User

PARTS = [(PartOfDay.ANY, "As soon as possible"), (PartOfDay.MORNINGS, "Mornings"), (PartOfDay.AFTERNOONS, "Afternoons")]


@dataclass(frozen=True)
class WaitAsked:
    """One thing that she may wait for, whether the desk wants to, and how the tick is named."""

    wait: Wait
    value: str
    ticked: bool

    @property
    def until_told(self) -> str:
        """A day, and a time of it where it is not the day's beginning."""
        local = localtime(self.wait.until) if self.wait.until else None
        if local is None:
            return ""
        day = f"{local:%A} {local.day} {local:%B}"
        return day if local.time() == time(0) else f"{day}, {local:%H:%M}"


class WishForm(forms.Form):
    """Bound to what the address or the post says, a part of which this is; read with `wish`, `since` and `kind`."""

    kind = forms.ModelChoiceField(
        label="Kind of visit",
        queryset=ServiceKind.objects.offered(),
        required=False,
        empty_label=None,
        widget=forms.RadioSelect,
    )
    wished_stylist = forms.ModelChoiceField(
        label="With", queryset=User.objects.none(), required=False, empty_label="Whoever is free"
    )
    part_of_day = forms.ChoiceField(label="When", choices=PARTS, required=False, widget=forms.RadioSelect)
    weekdays = forms.TypedMultipleChoiceField(
        label="Only on",
        choices=[(day.value, day.label[:3]) for day in Weekday],
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    from_day = forms.DateField(
        label="Not before", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, said: MultiValueDict[str, str], *, at: datetime) -> None:
        if not said.get("part_of_day"):
            said = _with(said, part_of_day=PartOfDay.ANY)
        day = said.get("day", "")
        if "from_day" not in said and day > f"{localdate(at)}":  # asked for from that day's page
            said = _with(said, from_day=day)
        super().__init__(said)
        self.at = at
        self.fields["wished_stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.fields["wished_stylist"].widget.attrs["class"] = "form-select"
        self.fields["from_day"].widget.attrs["class"] = "form-control"

    def clean_from_day(self) -> date | None:
        day: date | None = self.cleaned_data["from_day"]
        if day and day.year not in YEARS:
            raise forms.ValidationError("Write a day of these years.")
        return day

    @property
    def said(self) -> Mapping[str, Any]:
        self.is_valid()
        return self.cleaned_data

    @property
    def chosen_kind(self) -> ServiceKind | None:
        return self.said.get("kind")

    @property
    def narrows(self) -> bool:
        """Whether days are chosen, so that their questions are shown opened."""
        return bool(self.said.get("weekdays") or self.said.get("from_day") or self.errors)

    @property
    def wish_narrows(self) -> bool:
        """Whether more would be found if she wished for less."""
        return self.narrows or bool(self.said.get("wished_stylist")) or self.said.get("part_of_day") != PartOfDay.ANY

    def since(self, later: date | None = None) -> datetime:
        """From when on times are looked for: now, or the beginning of the day she named or leafed on to."""
        days = [day for day in (self.said.get("from_day"), later) if day and day > localdate(self.at)]
        return day_begins(max(days), salon_zone()) if days else self.at

    def wish(self, waits: list[WaitAsked]) -> Wish:
        until = [asked.wait.until for asked in waits if asked.ticked and asked.wait.until]
        return Wish(
            stylist=self.said.get("wished_stylist"),
            part_of_day=self.said.get("part_of_day") or PartOfDay.ANY.value,
            weekdays=frozenset(self.said.get("weekdays") or ()),
            not_before=max(until, default=None),
        )

    def waits_for(self, client: Client, kind: ServiceKind) -> list[WaitAsked]:
        """What this visit of hers waits for; waiting is wanted until the desk takes the tick away."""
        asked, ticked = "waits_asked" in self.data, set(self.data.getlist("waits"))  # type: ignore[attr-defined]  # a MultiValueDict
        found = []
        for wait in earliest_for(client=client, kind=kind, at=self.at):
            value = f"{localtime(wait.until):%Y-%m-%dT%H:%M}" if wait.until else ""
            found.append(WaitAsked(wait, value, not asked or value in ticked))
        return found


def _with(said: MultiValueDict[str, str], **more: str) -> MultiValueDict[str, str]:
    copied = said.copy()
    for name, value in more.items():
        copied[name] = value
    return copied
