"""Asks for one appointment of a client who has been found already; `fittings.booking` says whether it may be."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import QueryDict

from clients.models import Client
from fittings.booking import book_appointment
from fittings.desk.own_time import OwnTimeForm
from fittings.models import Appointment, AwaitedPiece, ServiceKind
from salon.models import User

FROM_ADDRESS = {"day": "starts_on", "time": "starts_time"}  # how an empty place on the day's page names its time
READERS = {"starts_on": date.fromisoformat, "starts_time": time.fromisoformat}


class AppointmentForm(OwnTimeForm):
    kind = forms.ModelChoiceField(
        queryset=ServiceKind.objects.offered(),
        error_messages={"required": "Choose what she comes for.", "invalid_choice": "Choose what she comes for."},
    )
    awaits = forms.ModelChoiceField(
        label="For the piece", queryset=AwaitedPiece.objects.none(), required=False, empty_label="None in particular"
    )
    note = forms.CharField(
        max_length=240, required=False, help_text="For the desk; nothing about her health belongs here."
    )
    once = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, client: Client, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.client = client
        self.initial.setdefault("once", uuid.uuid4())
        self.fields["awaits"].queryset = pieces_for(client)  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.fields["awaits"].widget.attrs["class"] = "form-select"
        self.fields["note"].widget.attrs |= {"class": "form-control", "autocomplete": "off"}

    def book(self, *, by: User, at: datetime) -> Appointment | None:
        """Book it, or keep the refusal for the page and return None.

        A form books once: pressed twice, or come back to, it gives the appointment that it made before.
        """
        if before := self._made_before():
            if before.is_standing:
                return before
            self.cleaned_data["once"] = None  # what it made is cancelled, so this is a booking of its own
        names = ("kind", "stylist", "place", "starts_at", "note", "awaits", "once")
        wanted = {name: self.cleaned_data[name] for name in names}
        try:
            return book_appointment(client=self.client, by=by, at=at, anyway_because=self.because, **wanted)
        except ValidationError as refusal:
            if made_meanwhile := self._made_before():  # the other of two presses was quicker
                return made_meanwhile
            self.refuse(refusal)
            return None

    def not_shown(self) -> set[str]:
        has_pieces = self.fields["awaits"].queryset.exists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        return super().not_shown() | {"once"} | (set() if has_pieces else {"awaits"})

    def _made_before(self) -> Appointment | None:
        once = self.cleaned_data.get("once")
        return Appointment.objects.filter(client=self.client, calendar_uid=once).first() if once else None

    def is_what_was_asked(self, appointment: Appointment) -> bool:
        """Whether the appointment that it made is the one that was pressed now."""
        return self.wanted == (appointment.starts_at, appointment.stylist, appointment.place)


def typed_so_far(said: QueryDict, form: type[OwnTimeForm]) -> dict[str, Any]:
    """What an address or a post that does not book yet says of the fields; what can't be read is left out."""
    typed: dict[str, Any] = {}
    for name in (*FROM_ADDRESS, *form.base_fields):
        if not (text := said.get(name, "")[:240]):
            continue
        field = FROM_ADDRESS.get(name, name)
        try:
            typed[field] = READERS[field](text) if field in READERS else text
        except ValueError:
            continue
    return typed


def pieces_for(client: Client) -> QuerySet[AwaitedPiece]:
    """Pieces of hers that a visit can be for: on their way, or come in."""
    return AwaitedPiece.objects.filter(client=client, given_up_at__isnull=True)
