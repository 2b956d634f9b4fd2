"""Asks for one of the salon's reasons; what may be kept is for `pieces.keeping_reasons` to say."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import ValidationError

from pieces.keeping_reasons import add_reason, change_reason
from pieces.models import ReturnReason
from salon.common.refusing import RefusingForm

PLACES = range(1, 100)


class ReasonForm(RefusingForm):
    model = ReturnReason
    beside = {"return_reason_name_once": "name"}
    name = forms.CharField(label="Reason", max_length=60, help_text="Short enough to be pressed on a phone.")
    position = forms.IntegerField(
        label="Place on the list",
        min_value=PLACES.start,
        max_value=PLACES.stop - 1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="1 comes first; those of one place are in the order of their names.",
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), "Write a whole number from 1 to 99."
        ),
    )
    is_in_use = forms.BooleanField(
        label="In use",
        required=False,
        help_text="Without a tick it is offered no longer; returns that name it go on naming it.",
    )

    def __init__(self, data: Any = None, *, reason: ReturnReason | None = None) -> None:
        super().__init__(data)
        self.reason = reason
        if reason is None:
            del self.fields["is_in_use"]
            self.initial = {"position": min(ReturnReason.objects.count() + 1, PLACES.stop - 1)}
        else:
            self.initial = {
                "name": reason.name,
                "position": reason.position + 1,
                "is_in_use": reason.is_in_use,
            }
        in_use = ["is_in_use"] if reason else []
        self.helper.layout = Layout("name", "position", *in_use, Submit("save", "Save" if reason else "Add"))

    def keep(self) -> ReturnReason | None:
        """Add or change it, or put the reason on the form and return None."""
        told = self.cleaned_data | {"position": self.cleaned_data["position"] - 1}
        try:
            return change_reason(reason=self.reason, **told) if self.reason else add_reason(**told)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
