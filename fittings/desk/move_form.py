"""Asks for another time, stylist or place of a booked appointment."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fittings.booking import move_appointment
from fittings.desk.own_time import OwnTimeForm, by_hand
from fittings.desk.told import is_doubled, moment_told
from fittings.models import Appointment, Place
from salon.models import User


class MoveForm(OwnTimeForm):
    seen = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, appointment: Appointment, **kwargs: Any) -> None:
        begins = by_hand(appointment.starts_at, appointment.stylist, appointment.place)
        kwargs["initial"] = begins | {"seen": appointment.sequence} | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.appointment = appointment
        self.fields["anyway_because"].label = "Move it anyway, because"
        places = Place.objects.in_use() | Place.objects.filter(pk=appointment.place_id)  # she may stay where she is
        self.fields["place"].queryset = places  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.asks_which = is_doubled(appointment.starts_at)

    def not_shown(self) -> set[str]:
        return super().not_shown() | {"seen"}

    def clean_seen(self) -> int | None:
        """Refuses to move what somebody else has changed since this page was shown."""
        seen: int | None = self.cleaned_data["seen"]
        if seen is not None and seen != self.appointment.sequence:
            newest = self.appointment.changes.select_related("by").last()
            who = f" by {newest.by}" if newest else ""
            raise ValidationError(
                f"It was changed meanwhile{who}: {moment_told(self.appointment.starts_at)}, with "
                f"{self.appointment.stylist}, {self.appointment.place} ({self.appointment.state}). "
                "Look again, then move it if it should still be moved."
            )
        return seen

    def move(self, *, by: User, at: datetime) -> Appointment | None:
        """Move it, or keep the refusal for the page and return None. Moved to where it stands, it is left as it is."""
        wanted = self.wanted
        if wanted == (self.appointment.starts_at, self.appointment.stylist, self.appointment.place):
            return self.appointment
        try:
            return move_appointment(
                appointment=self.appointment, by=by, at=at, anyway_because=self.because, **wanted._asdict()
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
