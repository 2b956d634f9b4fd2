"""Asks why a unit is moved and what it is meant for; whether it may be is `pieces.stock`'s to say."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from pieces.drawers.moves import Move
from pieces.models import Unit
from pieces.stock import change_purpose
from salon.common.refusing import RefusingForm
from salon.models import User

LONGEST_REASON = 240


class MoveForm(RefusingForm):
    """One press; a move that wants a reason asks for it."""

    because = forms.CharField(
        label="Why",
        max_length=LONGEST_REASON,
        error_messages={"required": "Write why; it stays in the unit’s history."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data: Any = None, *, move: Move) -> None:
        super().__init__(data, auto_id=f"id_{move.slug}_%s")
        self.move = move
        if move.asks_why:
            self.fields["because"].help_text = move.asks_why
        else:
            del self.fields["because"]

    def move_unit(self, unit: Unit, *, by: User, at: datetime) -> Unit | None:
        """Move it, or put the reason why not on the form and return None."""
        try:
            return self.move.deed(unit=unit, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class PurposeForm(RefusingForm):
    purpose = forms.ChoiceField(
        choices=Unit.Purpose.choices,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Press what it is meant for."),
    )

    def change(self, unit: Unit, *, by: User) -> Unit | None:
        """Change it, or put the reason why not on the form and return None."""
        try:
            return change_purpose(unit=unit, purpose=self.cleaned_data["purpose"], by=by)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
