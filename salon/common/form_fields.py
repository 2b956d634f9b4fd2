"""Form fields that read what is typed: lengths, money, whole numbers. What a field may hold is for the form that asks.

`say_what_is_wanted` names, in the field's own words, what is missing where a field that can't stay empty did.

What is stored is exact (millimetres, minor units), what is shown is rounded. So a form that sends back the very text it
was given has changed nothing, and `unchanged` says so: an inch shown to the eighth must not move a tape by saving.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.forms.utils import pretty_name

from salon.common.lengths import LengthUnit, format_length, parse_length_mm
from salon.common.money import format_minor, parse_minor


class LengthField(forms.CharField):
    """A length in any unit; cleans to millimetres, None when empty. A number alone is in the reader's unit."""

    def __init__(self, *, low_mm: float, high_mm: float, noun: str, whole_mm: bool = False, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.low_mm, self.high_mm, self.noun, self.whole_mm = low_mm, high_mm, noun, whole_mm
        self.unit: LengthUnit = "cm"

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else format_length(float(value), self.unit)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            length_mm = parse_length_mm(typed, self.unit)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal
        if not self.low_mm <= length_mm <= self.high_mm:
            low, high = format_length(self.low_mm, self.unit), format_length(self.high_mm, self.unit)
            raise ValidationError(f"“{typed}” can't be {self.noun}: it lies between {low} and {high}. Take it again.")
        return round(length_mm) if self.whole_mm else round(length_mm, 1)


class MoneyField(forms.CharField):
    """An amount in the salon's currency; cleans to minor units, None when empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.currency = "GBP"

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else format_minor(int(value), self.currency)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            amount_minor = parse_minor(typed, self.currency)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal
        if amount_minor > 2**31 - 1:  # the most a column of that kind holds
            raise ValidationError(f"“{typed}” is more than a piece ever costs. Write it again.")
        return amount_minor


class WholeField(forms.IntegerField):
    """A whole number between two others; None when empty."""

    def __init__(self, *, low: int, high: int, **kwargs: Any) -> None:
        sentence = f"Write a whole number from {low} to {high}, or leave it empty."
        super().__init__(
            required=False,
            min_value=low,
            max_value=high,
            error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), sentence),
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
            **kwargs,
        )


_USUAL_SENTENCE: Final = str(forms.Field.default_error_messages["required"])
_TOLD_AS_IT_IS: Final = ("the", "what", "who", "why", "where", "when", "how", "her", "its", "a", "an")
"""A label that begins with one of these needs no article before it."""


def say_what_is_wanted(fields: Mapping[str, forms.Field]) -> None:
    """“Write the length of its hair.” for an empty field, “Choose the shade.”; one with its own sentence keeps it."""
    for name, field in fields.items():
        if field.error_messages.get("required") == _USUAL_SENTENCE:
            label = str(field.label or pretty_name(name))
            label = label[:1].lower() + label[1:]
            article = "" if label.split()[0].casefold() in _TOLD_AS_IT_IS else "the "
            deed = "Choose" if isinstance(field, (forms.ChoiceField, forms.FileField)) else "Write"
            field.error_messages["required"] = f"{deed} {article}{label}."


def unchanged(field: forms.Field, initial: Any, typed: str | None) -> bool:
    """Whether the typed text is the very text that was shown for the stored value."""
    shown = field.prepare_value(initial)
    return (typed or "").strip() == ("" if shown is None else str(shown).strip())


def in_reader_units(sentence: str, unit: LengthUnit) -> str:
    """A sentence of the numeric modules, which speak in millimetres, in the reader's own unit."""
    return re.sub(r"\d+(?:\.\d+)? mm\b", lambda found: format_length(float(found[0][:-3]), unit), sentence)
