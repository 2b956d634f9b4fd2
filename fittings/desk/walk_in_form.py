"""Asks who takes a client who stands at the desk now, and where."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from clients.models import Client
from fittings.booking import BookingRefused, take_walk_in
from fittings.free_times import stylists
from fittings.models import Appointment, Place, ServiceKind
from salon.models import User

SAME_PERSON_AGAIN = {"client"}  # the obstacle that a second press meets


class WalkInForm(forms.Form):
    """A press on somebody who is free sends `taken_by` with who and where; by hand both are chosen."""

    kind = forms.ModelChoiceField(
        label="Kind of visit",
        queryset=ServiceKind.objects.offered(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"required": "Choose what she comes for.", "invalid_choice": "Choose what she comes for."},
    )
    stylist = forms.ModelChoiceField(label="With", queryset=User.objects.none(), empty_label="Choose who")
    place = forms.ModelChoiceField(
        label="Where", queryset=Place.objects.none(), empty_label="Choose a room, chair or basin"
    )
    note = forms.CharField(
        max_length=240, required=False, help_text="For the desk; nothing about her health belongs here."
    )
    anyway_because = forms.CharField(label="Take her anyway, because", max_length=240, required=False)

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(_with_taken_by(data), **kwargs)
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.fields["place"].queryset = Place.objects.in_use()  # type: ignore[attr-defined]  # as above
        for name in ("stylist", "place"):
            self.fields[name].widget.attrs["class"] = "form-select"
        for name in ("note", "anyway_because"):
            self.fields[name].widget.attrs |= {"class": "form-control", "autocomplete": "off"}
        self.refused: BookingRefused | None = None

    def take(self, client: Client, *, by: User, at: datetime) -> Appointment | None:
        """Take her now, or keep the refusal for the page and return None; pressed twice, it gives the first visit."""
        wanted = {name: self.cleaned_data[name] for name in ("kind", "stylist", "place", "note")}
        anyway = "anyway" in self.data
        because = self.cleaned_data["anyway_because"].strip() if anyway else ""
        try:
            return take_walk_in(client=client, by=by, at=at, anyway_because=because, **wanted)
        except BookingRefused as refusal:
            if SAME_PERSON_AGAIN & {obstacle.code for obstacle in refusal.obstacles} and (
                taken := self._taken_just_now(client, at)
            ):
                return taken
            self.refused = refusal
            if anyway and not because:
                self.add_error("anyway_because", "Write why she is taken all the same: “agreed with Imke” is enough.")
        except ValidationError as refusal:
            for field, errors in getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages}).items():
                self.add_error(field if field in self.fields else None, ValidationError(errors))
        return None

    def _taken_just_now(self, client: Client, at: datetime) -> Appointment | None:
        """The same visit, taken by the first of two presses."""
        here = Appointment.objects.filter(
            client=client, state=Appointment.State.ARRIVED, kind=self.cleaned_data["kind"]
        )
        return here.filter(starts_at__lte=at, ends_at__gt=at).select_related("kind", "stylist", "place").first()


def _with_taken_by(data: Any) -> Any:
    """A press on “4~2” chooses stylist 4 and place 2, whatever else is written."""
    if data is None or "~" not in data.get("taken_by", ""):
        return data
    copied = data.copy()
    copied["stylist"], copied["place"] = data["taken_by"].split("~", 1)
    return copied
