"""Asks what somebody waits for, for the time she takes, and why she waits no longer."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from clients.models import Client
from fittings.booking import BookingRefused
from fittings.desk.chosen_time import ChosenTimeField
from fittings.desk.day_asked import YEARS
from fittings.desk.told import moment_told
from fittings.free_times import stylists
from fittings.models import Appointment, PartOfDay, ServiceKind, WaitingEntry
from fittings.models.hours import Weekday
from fittings.waiting import book_from_list, put_on_list, take_off_list
from salon.models import User


class _EarlierThan(forms.ModelChoiceField[Appointment]):
    def label_from_instance(self, appointment: Appointment) -> str:
        return f"{appointment.kind}, {moment_told(appointment.starts_at)}"


class WishOnListForm(forms.Form):
    kind = forms.ModelChoiceField(
        label="What she waits for", queryset=ServiceKind.objects.offered(), empty_label="Choose what for"
    )
    stylist = forms.ModelChoiceField(
        label="With", queryset=User.objects.none(), required=False, empty_label="Whoever is free"
    )
    earliest_on = forms.DateField(label="Not before", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    latest_on = forms.DateField(
        label="Not after",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Leave empty when she waits for as long as it takes.",
    )
    part_of_day = forms.ChoiceField(choices=PartOfDay.choices, initial=PartOfDay.ANY)
    weekdays = forms.TypedMultipleChoiceField(
        label="Only on",
        choices=[(day.value, day.label) for day in Weekday],
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="No tick: any day.",
    )
    short_notice = forms.BooleanField(label="She can come at short notice, within three hours", required=False)
    instead_of = _EarlierThan(
        label="Would come earlier than",
        queryset=Appointment.objects.none(),
        required=False,
        empty_label="She has no appointment for this yet",
    )
    note = forms.CharField(
        max_length=240, required=False, help_text="For the desk; nothing about her health belongs here."
    )

    def __init__(self, *args: Any, client: Client, at: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.client, self.at = client, at
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        booked = Appointment.objects.filter(client=client, state=Appointment.State.BOOKED, starts_at__gt=at)
        self.fields["instead_of"].queryset = booked.select_related("kind")  # type: ignore[attr-defined]  # as above
        self.fields["note"].widget.attrs["autocomplete"] = "off"
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Row("kind", "stylist"),
            Row("earliest_on", "latest_on", "part_of_day"),
            "weekdays",
            "short_notice",
            "instead_of",
            "note",
            Submit("put", "Put on the list"),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name in ("earliest_on", "latest_on"):
            day: date | None = cleaned.get(name)
            if day and day.year not in YEARS:
                self.add_error(name, "Write a day of these years.")
        return cleaned

    def put(self, *, by: User) -> WaitingEntry | None:
        """Put her on the list, or the reason why not on the form and return None."""
        try:
            return put_on_list(client=self.client, by=by, at=self.at, **self.cleaned_data)
        except ValidationError as refusal:
            for field, reasons in getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages}).items():
                self.add_error(field if field in self.fields else None, reasons)
            return None


class TakenForm(forms.Form):
    """The time that was pressed, and why it is taken although something stands in the way."""

    time = ChosenTimeField()
    anyway_because = forms.CharField(label="Book anyway, because", max_length=240, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.refused: BookingRefused | None = None

    def book(self, entry: WaitingEntry, *, by: User, at: datetime) -> Appointment | None:
        """Book it, or keep the refusal for the page and return None."""
        chosen = self.cleaned_data["time"]
        if chosen is None:
            self.add_error(None, "Press one of the times.")
            return None
        try:
            return book_from_list(
                entry=entry,
                starts_at=chosen.starts_at,
                stylist=chosen.stylist,
                place=chosen.place,
                by=by,
                at=at,
                anyway_because=self.cleaned_data["anyway_because"],
            )
        except BookingRefused as refusal:
            self.refused = refusal
        except ValidationError as refusal:
            self.add_error(None, ValidationError(refusal.messages))
        return None


class OffForm(forms.Form):
    because = forms.CharField(label="Why she waits no longer (may be left empty)", max_length=240, required=False)

    def take_off(self, entry: WaitingEntry, *, by: User, at: datetime) -> WaitingEntry | None:
        try:
            return take_off_list(entry=entry, because=self.cleaned_data["because"], by=by, at=at)
        except ValidationError as refusal:
            self.add_error(None, ValidationError(refusal.messages))
            return None
