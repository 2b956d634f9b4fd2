"""Asks for a thing of the price list and for a rate of tax; what may be kept is for `pieces.pricing` to say."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from fittings.models import Service
from fittings.till.basket import rate_told
from pieces.models import PricedService, TaxRate
from pieces.pricing import add_priced_service, add_tax_rate, change_priced_service, change_tax_rate
from pieces.reckoning import WHOLE, percent
from salon.common.form_fields import MoneyField
from salon.common.refusing import RefusingForm
from salon.models import Salon, User

ASK = "What applies where is for your tax office or an adviser to say. No rate and no relief is built in."


class RateField(forms.ModelChoiceField[TaxRate]):
    def label_from_instance(self, obj: Any) -> str:
        return rate_told(obj)


class RatePercentField(forms.CharField):
    """A rate such as “20 %” or “8.25”; cleans to basis points."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=20, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.error_messages["required"] = "Write the rate, such as 20 %; a rate of nothing is 0 %."

    def prepare_value(self, value: Any) -> Any:
        return percent(value) if isinstance(value, int) else value

    def clean(self, value: Any) -> int:
        typed = super().clean(value)
        found = re.fullmatch(r"([0-9]{1,3})(?:[.,]([0-9]{1,2}))?\s*%?", typed)
        if not found:
            raise ValidationError(
                f"“{typed}” is not a rate: write it in percent with up to two decimals, such as 8.25 %."
            )
        basis_points = int(Decimal(f"{found[1]}.{found[2] or 0}") * 100)
        if basis_points > WHOLE:
            raise ValidationError("A rate lies between 0 and 100 %.")
        return basis_points


class PricedServiceForm(RefusingForm):
    model = PricedService
    beside = {"priced_service_name_once": "name"}
    name = forms.CharField(max_length=80, help_text="As it stands on the receipt.")
    price_minor = MoneyField(label="Price")
    tax_rate = RateField(
        label="Tax", queryset=TaxRate.objects.none(), required=False, empty_label="The usual one", help_text=ASK
    )
    done_as = forms.ChoiceField(
        label="Proposed after",
        choices=[("", "No service in particular"), *Service.Kind.choices],
        required=False,
        help_text="When that was done in a visit, the sale of that visit begins with it.",
    )
    is_in_use = forms.BooleanField(
        label="On the price list", required=False, help_text="Without a tick it is sold no longer; old sales keep it."
    )

    def __init__(self, *args: Any, service: PricedService | None = None, salon: Salon, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.service = service
        self.fields["price_minor"].currency = salon.currency  # type: ignore[attr-defined]  # a MoneyField
        own = service.tax_rate_id if service else None
        rates = TaxRate.objects.filter(Q(is_in_use=True) | Q(pk=own))
        self.fields["tax_rate"].queryset = rates  # type: ignore[attr-defined]  # a ModelChoiceField
        if service is None:
            del self.fields["is_in_use"]
        else:
            self.initial = {name: getattr(service, name) for name in self.fields} | {"tax_rate": service.tax_rate_id}
        self.helper.layout = Layout(
            Row("name", "price_minor"),
            Row("tax_rate", "done_as"),
            *(["is_in_use"] if service else []),
            Submit("save", "Save" if service else "Add"),
        )

    def clean_price_minor(self) -> int:
        price: int | None = self.cleaned_data["price_minor"]
        if price is None:
            raise ValidationError("Write its price; for what costs nothing, write 0.")
        return price

    def keep(self, *, by: User) -> PricedService | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.service is None:
                return add_priced_service(by=by, **self.cleaned_data)
            return change_priced_service(service=self.service, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class TaxRateForm(RefusingForm):
    model = TaxRate
    beside = {"tax_rate_name_once": "name", "tax_rate_usual_is_in_use": "is_usual"}
    name = forms.CharField(max_length=40, help_text="As it stands on receipts.")
    basis_points = RatePercentField(label="Rate", help_text="In percent.")
    is_usual = forms.BooleanField(
        label="The usual one", required=False, help_text="It stands on every line unless another is chosen."
    )
    asks_for_declaration = forms.BooleanField(
        label="Only with the customer’s own signed declaration",
        required=False,
        help_text="A sale then asks whether she has signed what your tax office wants.",
    )
    is_in_use = forms.BooleanField(
        label="In use", required=False, help_text="Without a tick it can’t be chosen; old sales keep it."
    )

    def __init__(self, *args: Any, rate: TaxRate | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rate = rate
        if rate is None:
            del self.fields["is_in_use"]
        else:
            self.initial = {name: getattr(rate, name) for name in self.fields}
        self.helper.layout = Layout(
            Row("name", "basis_points"),
            "is_usual",
            "asks_for_declaration",
            *(["is_in_use"] if rate else []),
            Submit("save", "Save" if rate else "Add"),
        )

    def keep(self, *, by: User) -> TaxRate | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.rate is None:
                return add_tax_rate(by=by, **self.cleaned_data)
            return change_tax_rate(rate=self.rate, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
