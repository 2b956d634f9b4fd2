"""Asks for money: a payment, a deposit, money back, and why a sale is cancelled or one thing taken out of it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client
from pieces.models import Payment, Sale, SaleLine
from pieces.paying import give_back, owed_for, paid_for, take_deposit, take_payment
from pieces.selling import cancel_sale, take_out_line
from salon.common.form_fields import MoneyField
from salon.common.refusing import RefusingForm
from salon.models import Salon, User

METHODS = [choice for choice in Payment.Method.choices if choice[0] != Payment.Method.EXCHANGE]
HOW_SAID = dict.fromkeys(("required", "invalid_choice"), "Say how: cash, card, bank transfer or another way.")


class MoneyForm(RefusingForm):
    """How much and how. The key makes a form that is sent twice count once."""

    amount_minor = MoneyField(label="How much")
    method = forms.ChoiceField(label="How", choices=METHODS, widget=forms.RadioSelect, error_messages=HOW_SAID)
    once = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, Any] | None = None, *, salon: Salon, currency: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.salon = salon
        self.fields["amount_minor"].currency = currency  # type: ignore[attr-defined]  # a MoneyField
        self.initial.setdefault("once", uuid.uuid4())

    def clean_amount_minor(self) -> int:
        amount: int | None = self.cleaned_data["amount_minor"]
        if not amount:
            raise ValidationError("Write how much.")
        return amount


class PayForm(MoneyForm):
    """Money for a sale; begins with all that is owed."""

    def __init__(self, data: Mapping[str, Any] | None = None, *, sale: Sale, salon: Salon) -> None:
        self.sale, self.owed = sale, owed_for(sale)
        super().__init__(
            data,
            salon=salon,
            currency=sale.currency,
            initial={"amount_minor": self.owed},
            auto_id="id_pay_%s",
        )

    def take(self, *, by: User, at: datetime) -> Payment | None:
        """Take it, or put the reason on the form and return None. A part paid before she has a piece is a deposit."""
        is_part = self.cleaned_data["amount_minor"] < self.owed
        begun = self.sale.lines.filter(handed_over_at__isnull=False).exists()
        try:
            return take_payment(
                sale=self.sale, salon=self.salon, by=by, at=at, is_deposit=is_part and not begun, **self.cleaned_data
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class GiveBackForm(MoneyForm):
    """Money of a sale that goes back to her."""

    what_for = forms.CharField(
        label="Why", max_length=160, required=True, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    field_order = ("amount_minor", "method", "what_for")

    def __init__(self, data: Mapping[str, Any] | None = None, *, sale: Sale, salon: Salon) -> None:
        self.sale, self.paid = sale, paid_for(sale)
        super().__init__(data, salon=salon, currency=sale.currency, auto_id="id_back_%s")
        self.fields["what_for"].error_messages["required"] = "Write why money goes back; it stands on the receipt."

    def give(self, *, by: User, at: datetime) -> Payment | None:
        try:
            return give_back(sale=self.sale, salon=self.salon, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class DepositForm(MoneyForm):
    """Money before there is a sale."""

    what_for = forms.CharField(
        label="What for",
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write what it is for, such as “a piece on order”."},
    )
    field_order = ("amount_minor", "what_for", "method")

    def __init__(self, data: Mapping[str, Any] | None = None, *, client: Client, salon: Salon) -> None:
        self.client = client
        super().__init__(data, salon=salon, currency=salon.currency)

    def take(self, *, by: User, at: datetime) -> Payment | None:
        try:
            return take_deposit(client=self.client, salon=self.salon, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class DepositBackForm(MoneyForm):
    """The whole of a deposit that is still held goes back to her."""

    what_for = forms.CharField(
        label="Why",
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write why it goes back; it stands on the receipt."},
    )
    field_order = ("method", "what_for")

    def __init__(self, data: Mapping[str, Any] | None = None, *, deposit: Payment, salon: Salon) -> None:
        self.deposit = deposit
        super().__init__(data, salon=salon, currency=deposit.currency, auto_id=f"id_{deposit.pk}_%s")
        del self.fields["amount_minor"]

    def give(self, *, by: User, at: datetime) -> Payment | None:
        amount = self.deposit.amount_minor
        try:
            return give_back(
                deposit=self.deposit, amount_minor=amount, salon=self.salon, by=by, at=at, **self.cleaned_data
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class CancelSaleForm(RefusingForm):
    because = forms.CharField(
        label="Why it is cancelled",
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write why it is cancelled; it stays in the record."},
    )

    def cancel(self, sale: Sale, *, by: User, at: datetime) -> Sale | None:
        try:
            return cancel_sale(sale=sale, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class TakeOutForm(RefusingForm):
    """Why she takes one thing of a sale no longer; of a piece that is on its way, also that its order goes on."""

    because = forms.CharField(
        label="Why it is taken out",
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write why it is taken out; it stays in the record."},
    )
    order_goes_on = forms.BooleanField(label="The order to its maker goes on", required=False)

    def __init__(self, data: Mapping[str, Any] | None = None, *, line: SaleLine) -> None:
        super().__init__(data, auto_id=f"id_out_{line.pk}_%s")
        self.line = line
        ordered = line.order_line if line.unit_id is None else None
        if ordered is None or not ordered.order.is_on_the_way:
            del self.fields["order_goes_on"]

    def take_out(self, *, by: User, at: datetime) -> Sale | None:
        try:
            return take_out_line(line=self.line, by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
