"""Fields that only services ask for: a tool's temperature, a developer's strength, parts of a formula."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models.assessment import YesNo
from fittings.consult.fields import ChoiceField, TickField
from fittings.services.details import ZONE_WORDS
from fittings.services.developer import USUAL_PERCENT, format_strength, parse_strength
from salon.common.temperatures import format_temperature, parse_temperature_c
from salon.models import Units

NOT_KNOWN = "Not known yet"
_PARTS = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,2})?")


class TemperatureField(forms.CharField):
    """A tool's temperature in the reader's unit, or with °C or °F typed; cleans to °C, None when empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=20, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.units = Units.METRIC

    def prepare_value(self, value: Any) -> Any:
        if value is None or isinstance(value, str):
            return value
        return format_temperature(float(value), "F" if self.units == Units.IMPERIAL else "C")

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            celsius = parse_temperature_c(typed, "F" if self.units == Units.IMPERIAL else "C")
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal
        if not 20 <= celsius <= 300:
            raise ValidationError(
                f"“{typed}” can't be a tool's temperature; it lies between 20 and 300 °C (68 and 572 °F)."
            )
        return round(celsius, 1)


class StrengthField(forms.CharField):
    """A developer's strength with its unit, in per cent or volumes; cleans to per cent, None when empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return parse_strength(typed)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal


class PartsField(forms.CharField):
    """How many parts of a mixture; cleans to a number, None when empty."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(required=False, max_length=20, widget=widget, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else f"{value:g}"

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        if not _PARTS.fullmatch(typed) or not 0.01 <= (parts := float(typed.replace(",", "."))) <= 1000:
            raise ValidationError(f"“{typed}” is no number of parts. Write how many, such as 1 or 1.5.")
        return parts


def once_field() -> forms.UUIDField:
    """The form's own key, so that a form sent twice is kept once."""
    sentence = "This page can't be sent as it is. Open it again; what you wrote is still below."
    return forms.UUIDField(required=False, widget=forms.HiddenInput, error_messages={"invalid": sentence})


def text_field(label: str, longest: int, **kwargs: Any) -> forms.CharField:
    widget = forms.TextInput(attrs={"autocomplete": "off"})
    return forms.CharField(label=label, required=False, max_length=longest, widget=widget, **kwargs)


def product_field(label: str, **kwargs: Any) -> forms.CharField:
    """A product by its label; those in use are offered beside it (`#products`), any other may be written."""
    widget = forms.TextInput(attrs={"autocomplete": "off", "list": "products"})
    return forms.CharField(label=label, required=False, max_length=120, widget=widget, **kwargs)


def asked_yes_no(label: str, **kwargs: Any) -> ChoiceField:
    return ChoiceField(label=label, choices=YesNo.choices, unasked=NOT_KNOWN, **kwargs)


def ticks(label: str, words: Mapping[str, str]) -> TickField:
    return TickField(label=label, choices=list(words.items()))


def zones_field(label: str = "Where") -> TickField:
    return ticks(label, ZONE_WORDS)


def developer_field() -> ChoiceField:
    return ChoiceField(
        label="Developer",
        choices=[(f"{percent:g}", format_strength(percent)) for percent in USUAL_PERCENT],
        unasked="None, or another strength",
    )
