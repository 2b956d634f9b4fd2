"""Asks what is repaired and by whom, and how the piece came back."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fittings.choosing.forms import RefusableForm
from fittings.models import OwnedPiece, Repair
from fittings.repairing import back_from_repair, send_to_repair
from salon.common.form_fields import MoneyField
from salon.common.refusing import DATE
from salon.models import User

TYPED = {"autocomplete": "off"}


class SendForm(RefusableForm):
    what = forms.CharField(label="What is repaired", max_length=240, widget=forms.TextInput(attrs=TYPED))
    done_by = forms.CharField(label="Who repairs it", max_length=120, widget=forms.TextInput(attrs=TYPED))
    sent_on = forms.DateField(label="Sent on", widget=DATE)
    expected_on = forms.DateField(label="Expected back on", required=False, widget=DATE)

    def __init__(self, data: Any = None, *, owned: OwnedPiece, today: date) -> None:
        last = Repair.objects.order_by("-sent_at", "-pk").values_list("done_by", flat=True).first()
        super().__init__(data, initial={"sent_on": today, "done_by": last or ""})
        self.owned = owned

    def send(self, *, by: User, at: datetime) -> Repair | None:
        """Note it, or put the reason on the form and return None."""
        try:
            return send_to_repair(owned=self.owned, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class BackForm(RefusableForm):
    back_on = forms.DateField(label="Came back on", widget=DATE)
    found = forms.CharField(
        label="How it came back", required=False, max_length=240, widget=forms.TextInput(attrs=TYPED)
    )
    cost_minor = MoneyField(label="What it cost")

    def __init__(self, data: Any = None, *, repair: Repair, today: date, currency: str) -> None:
        super().__init__(data, initial={"back_on": today})
        self.fields["cost_minor"].currency = currency  # type: ignore[attr-defined]  # a MoneyField
        self.repair = repair

    def take_back(self, *, by: User, at: datetime) -> Repair | None:
        """Note it, or put the reason on the form and return None."""
        try:
            return back_from_repair(repair=self.repair, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
