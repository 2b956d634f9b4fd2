"""Asks which piece is ordered for her, when it may come, and what she leaves as a deposit."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate

from clients.models import Client
from fittings.consult.fields import ChoiceField
from fittings.models import AwaitedPiece, Candidate
from fittings.ordered_in import Deposit, order_specially
from pieces.models import Payment, Variant
from pieces.orders.forms import LOAD_AGAIN
from pieces.orders.reading import MOST_FOUND, variants_to_order
from salon.common.form_fields import MoneyField
from salon.common.money import format_minor
from salon.common.refusing import DATE, RefusingForm
from salon.models import Salon, User

MOST_CHOSEN = 8
_METHODS = [choice for choice in Payment.Method.choices if choice[0] != Payment.Method.EXCHANGE]


class FindVariantForm(forms.Form):
    q = forms.CharField(
        label="Find it in the catalogue",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
        help_text="Words of the piece, its maker, its base or its shade.",
    )

    def found(self) -> list[Variant]:
        """At most one more than are shown, so that the page can say that there are more."""
        words = self.cleaned_data["q"].strip() if self.is_valid() else ""
        return list(variants_to_order(words, on=localdate())[: MOST_FOUND + 1]) if words else []


def chosen_in_visits(client: Client) -> list[Variant]:
    """What was chosen to try in her visits and is still made, the newest first."""
    keys = Candidate.objects.filter(fitting__client=client).order_by("-pk").values_list("variant", flat=True)
    newest = list(dict.fromkeys(keys[: 3 * MOST_CHOSEN]))[:MOST_CHOSEN]
    return sorted(variants_to_order("", on=localdate()).filter(pk__in=newest), key=lambda one: newest.index(one.pk))


class SpecialOrderForm(RefusingForm):
    renamed = {"what": "note", "amount_minor": "deposit_minor"}

    variant = forms.ModelChoiceField(
        label="Which piece",
        queryset=Variant.objects.select_related("piece__base__maker", "shade"),
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Find the piece in the catalogue and press it."),
    )
    noted = forms.ModelChoiceField(
        label="The desk has noted it already as",
        queryset=AwaitedPiece.objects.none(),
        required=False,
        empty_label="Not noted yet",
    )
    expected_on = forms.DateField(
        label="Expected on",
        required=False,
        widget=DATE,
        error_messages={"invalid": "Write the day as 2026-12-24."},
        help_text="Empty when nobody knows yet. The maker’s own day takes its place when the order is sent.",
    )
    note = forms.CharField(
        label="Note for the maker",
        required=False,
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="It goes to the maker; nothing about her and nothing about her health.",
    )
    deposit_minor = MoneyField(label="Deposit she leaves now", help_text="Empty for none.")
    method = ChoiceField(label="How she pays it", choices=_METHODS, unasked="No deposit")
    once = forms.UUIDField(required=False, widget=forms.HiddenInput, error_messages={"invalid": LOAD_AGAIN})

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, client: Client, salon: Salon, takes_money: bool
    ) -> None:
        super().__init__(data, initial={"once": uuid.uuid4()})
        self.client, self.salon = client, salon
        noted = AwaitedPiece.objects.still_awaited().filter(client=client, order_line__isnull=True)
        if noted.exists():
            self.fields["noted"].queryset = noted  # type: ignore[attr-defined]  # a ModelChoiceField
        else:
            del self.fields["noted"]
        self.fields["deposit_minor"].currency = salon.currency  # type: ignore[attr-defined]  # a MoneyField
        if not takes_money:
            del self.fields["deposit_minor"], self.fields["method"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        amount, method = cleaned.get("deposit_minor"), cleaned.get("method")
        if amount and not method:
            self.add_error("method", "Say how she pays the deposit: cash, card, bank transfer or another way.")
        elif method and not amount and "deposit_minor" not in self.errors:
            self.add_error("deposit_minor", "Write how much she leaves, or press “No deposit”.")
        variant = cleaned.get("variant")
        if amount and variant and self.salon.prices_include_tax and amount > variant.price_minor:
            price = format_minor(variant.price_minor, variant.currency)
            self.add_error("deposit_minor", f"It costs {price}; a deposit is no more than that.")
        return cleaned

    def order(self, *, by: User, at: datetime) -> AwaitedPiece | None:
        """Order it, or put the reason on the form and return None."""
        asked = self.cleaned_data
        amount = asked.get("deposit_minor")
        try:
            return order_specially(
                client=self.client,
                variant=asked["variant"],
                salon=self.salon,
                expected_on=asked["expected_on"],
                note=asked["note"],
                noted=asked.get("noted"),
                deposit=Deposit(amount, asked["method"], asked["once"]) if amount else None,
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
