"""Asks why a piece comes back, in what state, and what becomes of it and of the money."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fittings.taking_back import take_back_hers
from pieces.models import Payment, Return, ReturnReason, Sale, SaleLine
from pieces.returning import usual_refund
from salon.common.form_fields import MoneyField
from salon.common.money import format_minor
from salon.common.refusing import RefusingForm
from salon.models import Salon, User

WAYS_BACK = [(way.value, way.label) for way in Payment.Method if way != Payment.Method.EXCHANGE]
PRESS_ONE = ("required", "invalid_choice")


class OtherSales(forms.ModelChoiceField[Sale]):
    """Her other sales with money still to come, each with how much."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj}: {format_minor(obj.total_minor - obj.paid_minor, obj.currency)} to pay"


class ReturnForm(RefusingForm):
    model = Return
    reason = forms.ModelChoiceField(
        label="Why it comes back",
        queryset=ReturnReason.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages=dict.fromkeys(PRESS_ONE, "Press why it comes back."),
    )
    said = forms.CharField(
        label="In her words", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )
    seal_broken = forms.BooleanField(label="The seal is broken", required=False)
    worn = forms.BooleanField(label="It was worn", required=False)
    cut = forms.BooleanField(label="It was cut in", required=False)
    coloured = forms.BooleanField(label="It was coloured", required=False)
    fate = forms.ChoiceField(
        label="What becomes of it",
        choices=Return.Fate.choices,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(PRESS_ONE, "Press what becomes of it."),
    )
    exchanged_for = OtherSales(
        label="She takes instead",
        queryset=Sale.objects.none(),
        required=False,
        empty_label="Nothing: the money goes back",
        help_text="The money counts towards that sale as far as it is owed there; what is left goes back.",
        error_messages={"invalid_choice": "Choose one of her sales with money still to come, or none."},
    )
    refund_minor = MoneyField(label="Money back")
    method = forms.ChoiceField(
        label="How it goes back",
        choices=WAYS_BACK,
        widget=forms.RadioSelect,
        required=False,
        error_messages={"invalid_choice": "Press one of the ways that are shown."},
    )
    because = forms.CharField(
        label="Why it is taken back all the same",
        required=False,
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Only where the salon’s terms refuse it. It is kept with your name.",
    )
    once = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, line: SaleLine, by: User) -> None:
        sale = line.sale
        paid_by = sale.payments.filter(amount_minor__gt=0, method__in=dict(WAYS_BACK)).first()
        start = {
            "refund_minor": usual_refund(line),
            "method": paid_by.method if paid_by else None,
            "once": uuid.uuid4(),
        }
        super().__init__(data, initial=start)
        self.line, self.by = line, by
        self.fields["reason"].queryset = ReturnReason.objects.in_use()  # type: ignore[attr-defined]  # a ModelChoiceField
        others = Sale.objects.owing().filter(client=sale.client, currency=sale.currency).exclude(pk=sale.pk)
        if others.exists():
            self.fields["exchanged_for"].queryset = others  # type: ignore[attr-defined]  # as above
        else:
            del self.fields["exchanged_for"]
        if not by.has_perm("pieces.allow_return"):
            del self.fields["because"]
        self.fields["refund_minor"].currency = sale.currency  # type: ignore[attr-defined]  # a MoneyField

    def clean_refund_minor(self) -> int:
        amount: int | None = self.cleaned_data["refund_minor"]
        if amount is None:
            raise ValidationError("Write how much goes back, or 0.")
        return amount

    def take_back(self, *, salon: Salon, at: datetime) -> Return | None:
        """Take it back, or put the reason on the form and return None."""
        told = self.cleaned_data
        owner = self.by if "because" in told else None
        try:
            return take_back_hers(line=self.line, salon=salon, by=self.by, at=at, owner=owner, **told)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
