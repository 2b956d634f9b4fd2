"""Asks why an appointment is cancelled; who and when are known."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Layout, Submit
from django import forms
from django.core.exceptions import ValidationError

from fittings.booking import cancel_appointment
from fittings.models import Appointment
from salon.models import User


class CancelForm(forms.Form):
    because = forms.CharField(
        label="Why is it cancelled?", max_length=240, required=False, help_text="No word about her health, please."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["because"].widget.attrs |= {"autocomplete": "off", "autofocus": True}
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
