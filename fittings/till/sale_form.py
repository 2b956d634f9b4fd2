"""Asks what a sale needs besides its lines, and what is added to them."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client
from fittings.free_times import stylists
from fittings.owned.finding import unit_number
from fittings.till.basket import Basket
from pieces.models import PricedService, Sale, Unit
from pieces.selling import agree_sale
from salon.common.money import format_minor
from salon.common.refusing import RefusingForm
from salon.models import Salon, User


class PricedChoice(forms.ModelChoiceField[PricedService]):
    currency = "GBP"

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name}, {format_minor(obj.price_minor, self.currency)}"


class SaleForm(RefusingForm):
    stylist = forms.ModelChoiceField(
        label="Stylist", queryset=User.objects.none(), required=False, empty_label="Nobody in particular"
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="For the till; nothing about her health belongs here.",
    )
    number = forms.CharField(
        label="Number of a unit",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    service = PricedChoice(
        label="From the price list", queryset=PricedService.objects.none(), required=False, empty_label="Choose"
    )
    once = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, Any] | None = None, *, client: Client, salon: Salon, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.client, self.salon = client, salon
        self.initial.setdefault("once", uuid.uuid4())
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # a ModelChoiceField
        listed = self.fields["service"]
        listed.queryset = PricedService.objects.in_use()  # type: ignore[attr-defined]  # a ModelChoiceField
        listed.currency = salon.currency  # type: ignore[attr-defined]  # a PricedChoice

    def added(self) -> list[str]:
        """The keys of what is added by number and from the list; none, with the reason on the form, if one is wrong."""
        if not self.is_valid():
            return []
        service, number = self.cleaned_data["service"], unit_number(self.cleaned_data["number"])
        if number and not Unit.objects.filter(number=number).exists():
            self.add_error("number", f"There is no unit {number}. Its number stands on its label.")
            return []
        if not (number or service):
            self.add_error("number", "Write the number of a unit, or choose from the price list.")
        return [*([f"unit-{number}"] if number else []), *([f"service-{service.pk}"] if service else [])]

    def agree(self, basket: Basket, *, by: User, at: datetime) -> Sale | None:
        """Write the sale down, or put the reason on the form and return None."""
        whole, wanted = basket.is_complete(), self.is_valid()
        if not basket.lines:
            self.add_error(None, "Choose what she takes: a piece, or something of the price list.")
        if not (whole and wanted):
            return None
        try:
            return agree_sale(
                client=self.client,
                lines=basket.asked(self.client),
                salon=self.salon,
                stylist=self.cleaned_data["stylist"],
                note=self.cleaned_data["note"],
                once=self.cleaned_data["once"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
