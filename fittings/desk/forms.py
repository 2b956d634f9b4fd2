"""Asks for one appointment, for its new time, or for the reason it is cancelled; `booking` says whether it may be."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.utils.timezone import localtime

from clients.models import Client
from fittings.booking import book_appointment, cancel_appointment, move_appointment
from fittings.free_times import stylists as stylists  # also for those who import it from here
from fittings.models import Appointment, Place, ServiceKind
from salon.models import User


class _When(forms.Form):
    """The fields that a new appointment and a moved one share."""

    stylist = forms.ModelChoiceField(queryset=User.objects.none(), empty_label="Choose who")
    place = forms.ModelChoiceField(queryset=Place.objects.all(), empty_label="Choose a room, chair or basin")
    starts_on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    starts_time = forms.TimeField(
        label="Begins at", widget=forms.TimeInput(attrs={"type": "time", "step": 300}, format="%H:%M")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.helper = FormHelper()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        day, time = cleaned.get("starts_on"), cleaned.get("starts_time")
        if day and time:
            try:
                # reads the salon's clock; refuses an hour that the change to summer time leaves out or doubles
                cleaned["starts_at"] = forms.DateTimeField().clean(datetime.combine(day, time))
            except ValidationError as refusal:
                self.add_error("starts_time", refusal)
        return cleaned

    def refuse(self, refusal: ValidationError) -> None:
        """Put the deed's reason beside the field it is about."""
        for field, errors in getattr(refusal, "message_dict", {"__all__": refusal.messages}).items():
            where = {"starts_at": "starts_time", "because": "because"}.get(field, field)
            self.add_error(where if where in self.fields else None, ValidationError(errors))


class AppointmentForm(_When):
    """Asks for one appointment of a client who has been found already."""

    kind = forms.ModelChoiceField(
        label="Kind of visit", queryset=ServiceKind.objects.all(), empty_label="Choose what for"
    )
    note = forms.CharField(
        max_length=240, required=False, help_text="For the desk; nothing about her health belongs here."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["kind", "stylist", "place", "starts_on", "starts_time", "note"])
        self.helper.layout = Layout(
            Row("kind", "stylist", "place"), Row("starts_on", "starts_time"), "note", Submit("book", "Book")
        )

    def book(self, client: Client, *, by: User, at: datetime) -> Appointment | None:
        """Book it, or put the reason on the form and return None."""
        wanted = {name: self.cleaned_data[name] for name in ("kind", "stylist", "place", "starts_at", "note")}
        try:
            return book_appointment(client=client, by=by, at=at, **wanted)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class MoveForm(_When):
    """Asks for another time, stylist or place."""

    def __init__(self, *args: Any, appointment: Appointment, **kwargs: Any) -> None:
        begins = localtime(appointment.starts_at)
        kwargs.setdefault(
            "initial",
            {
                "stylist": appointment.stylist_id,
                "place": appointment.place_id,
                "starts_on": begins.date(),
                "starts_time": begins.time(),
            },
        )
        super().__init__(*args, **kwargs)
        self.appointment = appointment
        self.helper.layout = Layout(Row("stylist", "place"), Row("starts_on", "starts_time"), Submit("move", "Move"))

    def move(self, *, by: User, at: datetime) -> Appointment | None:
        wanted = {name: self.cleaned_data[name] for name in ("stylist", "place", "starts_at")}
        try:
            return move_appointment(appointment=self.appointment, by=by, at=at, **wanted)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class CancelForm(forms.Form):
    because = forms.CharField(
        label="Why is it cancelled?", max_length=240, required=False, help_text="No word about her health, please."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(Field("because"), Submit("cancel", "Cancel the appointment"))

    def cancel(self, appointment: Appointment, *, by: User, at: datetime) -> Appointment | None:
        try:
            return cancel_appointment(appointment=appointment, by=by, because=self.cleaned_data["because"], at=at)
        except ValidationError as refusal:
            fields = getattr(refusal, "message_dict", {"__all__": refusal.messages})
            for field, errors in fields.items():
                self.add_error(field if field in self.fields else None, ValidationError(errors))
            return None
