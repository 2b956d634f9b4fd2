"""Asks which unit is lent and until when, and how it came back."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client
from fittings.choosing.forms import RefusableForm
from fittings.lending import lend, take_loan_back
from fittings.models import Loan, OwnedPiece
from fittings.owned.finding import unit_number
from pieces.models import Unit
from salon.common.refusing import DATE
from salon.models import User

USUALLY = timedelta(weeks=2)  # common practice: about as long as a repair takes


class LoanForm(RefusableForm):
    unit = forms.CharField(
        label="Number of the unit",
        max_length=16,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
        help_text="It stands on the unit’s label and begins with U-.",
    )
    instead_of = forms.ModelChoiceField(
        label="While hers is away", queryset=OwnedPiece.objects.none(), required=False, empty_label="None of hers"
    )
    lent_on = forms.DateField(label="Lent on", widget=DATE)
    due_back_on = forms.DateField(label="Due back on", widget=DATE)
    note = forms.CharField(required=False, max_length=240, widget=forms.TextInput(attrs={"autocomplete": "off"}))

    def __init__(self, data: Any = None, *, client: Client, today: date, instead_of: str = "") -> None:
        hers = client.owned_pieces.current().with_what_they_are()
        asked = next((one.pk for one in hers if one.reference == instead_of), None)
        super().__init__(data, initial={"lent_on": today, "due_back_on": today + USUALLY, "instead_of": asked})
        self.client = client
        if hers:
            self.fields["instead_of"].queryset = hers  # type: ignore[attr-defined]  # a ModelChoiceField
        else:
            del self.fields["instead_of"]

    def clean_unit(self) -> Unit:
        number = unit_number(self.cleaned_data["unit"])
        unit = Unit.objects.filter(number=number).first()
        if unit is None:
            raise ValidationError(f"There is no unit {number}. Its number stands on its label.")
        return unit

    def lend(self, *, by: User, at: datetime) -> Loan | None:
        """Lend it, or put the reason on the form and return None."""
        try:
            return lend(client=self.client, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class LoanBackForm(RefusableForm):
    back_on = forms.DateField(
        error_messages=dict.fromkeys(("required", "invalid"), "Write the day it came back, such as 2026-12-24.")
    )
    how = forms.ChoiceField(
        choices=[("back", "Came back"), ("gone", "Did not come back")],
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Press whether it came back or did not."),
    )

    def take_back(self, loan: Loan, *, by: User, at: datetime) -> Loan | None:
        """Take it back, or put the reason on the form and return None."""
        gone = self.cleaned_data["how"] == "gone"
        try:
            return take_loan_back(loan=loan, back_on=self.cleaned_data["back_on"], by=by, at=at, gone=gone)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
