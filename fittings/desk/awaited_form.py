"""Asks which piece is on its way for her, and what became of one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from clients.models import Client
from fittings.awaiting import await_piece
from fittings.models import AwaitedPiece
from fittings.ordered_in import awaited_came_in, awaited_no_longer_wanted, awaited_on_another_day
from pieces.models import Variant
from salon.models import Units, User


class TriedField(forms.ModelChoiceField[Variant]):
    units = Units.METRIC

    def label_from_instance(self, obj: Variant) -> str:
        return obj.told(self.units)


class AwaitedForm(forms.Form):
    variant = TriedField(
        label="One that was chosen to try", queryset=Variant.objects.none(), required=False, empty_label="None of them"
    )
    what = forms.CharField(
        label="Which piece",
        max_length=120,
        required=False,
        help_text="“Heron, walnut, 35 cm” is enough; nothing about her health.",
    )
    expected_on = forms.DateField(
        label="Expected on",
        required=False,
        help_text="Empty when nobody knows yet.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, client: Client, sees_fittings: bool, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.client = client
        tried = Variant.objects.filter(candidates__fitting__client=client).distinct().select_related("piece", "shade")
        if sees_fittings and tried.exists():
            self.fields["variant"].queryset = tried  # type: ignore[attr-defined]  # it is a ModelChoiceField
            self.fields["variant"].units = units  # type: ignore[attr-defined]  # it is a TriedField
            self.fields["variant"].widget.attrs["class"] = "form-select"
        else:  # what was tried in a visit is not the desk's to see
            del self.fields["variant"]
        for name in ("what", "expected_on"):
            self.fields[name].widget.attrs |= {"class": "form-control", "autocomplete": "off"}

    def note(self, *, by: User, at: datetime) -> AwaitedPiece | None:
        """Note it, or put the reason on the form and return None."""
        typed = self.cleaned_data
        try:
            return await_piece(
                client=self.client,
                what=typed["what"],
                variant=typed.get("variant"),
                expected_on=typed["expected_on"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            for field, errors in getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages}).items():
                self.add_error(field if field in self.fields else None, ValidationError(errors))
            return None


class AwaitedMarkForm(forms.Form):
    deed = forms.ChoiceField(
        choices=[("came in", "Came in"), ("no longer wanted", "No longer wanted"), ("expected", "Expected on")],
        error_messages={
            "required": "Choose what became of it.",
            "invalid_choice": "Choose: came in, no longer wanted, or another day.",
        },
    )
    expected_on = forms.DateField(required=False, error_messages={"invalid": "Write the day as 2026-12-24."})

    def do(self, awaited: AwaitedPiece, *, by: User, at: datetime) -> str:
        """Do it and say what was done; raises ValidationError with the reason."""
        if not self.is_valid():
            raise ValidationError([str(reason) for reasons in self.errors.values() for reason in reasons])
        day = self.cleaned_data["expected_on"]
        deeds: dict[str, Callable[[], AwaitedPiece]] = {
            "came in": lambda: awaited_came_in(awaited=awaited, by=by, at=at),
            "no longer wanted": lambda: awaited_no_longer_wanted(awaited=awaited, by=by, at=at),
            "expected": lambda: awaited_on_another_day(awaited=awaited, expected_on=day, by=by, at=at),
        }
        piece = deeds[self.cleaned_data["deed"]]()
        if piece.in_at:
            return f"{piece} for {piece.client} is in."
        if piece.given_up_at:
            return f"{piece} for {piece.client} is no longer wanted."
        return f"{piece} for {piece.client} is expected {f'on {day.day} {day:%B}' if day else 'on no known day'}."
