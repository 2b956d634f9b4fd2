"""Asks why and until when a piece was hers."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fittings.choosing.forms import RefusableForm
from fittings.models import OwnedPiece
from fittings.owning import end_piece
from salon.common.refusing import DATE
from salon.models import User


class EndForm(RefusableForm):
    ended = forms.ChoiceField(
        label="Why",
        choices=OwnedPiece.Ended.choices,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Press why she no longer has it."),
    )
    until = forms.DateField(label="Hers until", widget=DATE)
    note = forms.CharField(required=False, max_length=240, widget=forms.TextInput(attrs={"autocomplete": "off"}))

    def __init__(self, data: Any = None, *, owned: OwnedPiece, today: date) -> None:
        super().__init__(data, initial={"until": today})
        self.owned = owned

    def end(self, *, by: User, at: datetime) -> OwnedPiece | None:
        """End it, or put the reason on the form and return None."""
        try:
            return end_piece(owned=self.owned, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
