"""Asks the owner for the house numbers, subject by subject, and keeps what she typed whatever is refused.

Each number is sent with the value the page was shown, so that a page left open undoes nothing that somebody else did.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fittings.house_numbers import ALL_NUMBERS
from fittings.house_rules.number_typed import as_typed, in_readers_units, number_typed
from fittings.house_rules.subjects import SUBJECTS, Subject
from fittings.keeping_house_rules import Change, keep_house_rules
from fittings.placement.house_rules import HouseRuleInfo
from fittings.rules.wording import Units
from salon.models import User

SHOWN = "shown_"  # before the key of a number: the value that the page was shown
NOT_SHOWN = "This page was sent without what it showed here; look at the number and save again."


class HouseNumberField(forms.CharField):
    """A number as an owner types it; cleans to a float in the unit of its rule."""

    def __init__(self, info: HouseRuleInfo, **kwargs: Any) -> None:
        super().__init__(label=info.label, required=False, max_length=60, **kwargs)
        self.info = info

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        try:
            return number_typed(typed, self.info)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal


@dataclass(frozen=True, slots=True)
class NumberAsked:
    """One number on the page: what stands in its field, what it was shown as, and what is wrong with it."""

    info: HouseRuleInfo
    typed: str
    shown_value: float
    units: Units
    errors: list[str]

    @property
    def shown(self) -> str:
        return as_typed(self.shown_value)

    @property
    def now_for_reader(self) -> str:
        """The value that was shown, in inches or °F."""
        return in_readers_units(self.shown_value, self.info.unit, self.units)

    @property
    def start(self) -> str:
        return f"{self.info.start:g} {self.info.unit}".strip()

    @property
    def start_for_reader(self) -> str:
        return in_readers_units(self.info.start, self.info.unit, self.units)

    @property
    def bounds(self) -> str:
        return f"{self.info.low:g} to {self.info.high:g}"

    @property
    def is_changed(self) -> bool:
        return self.shown_value != self.info.start


class HouseRulesForm(forms.Form):
    """All numbers in one form, so that saving under one subject loses nothing typed under another."""

    def __init__(self, data: Any = None, *, current: Mapping[str, float], units: Units) -> None:
        super().__init__(data)
        self.current, self.units = current, units
        self.shown = dict(current)
        for key, info in ALL_NUMBERS.items():
            self.fields[key] = HouseNumberField(info, initial=as_typed(current[key]))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for key, info in ALL_NUMBERS.items():
            try:
                shown = float(self.data.get(SHOWN + key, ""))
                info.check(shown)
            except ValueError:
                self.add_error(key, NOT_SHOWN)
            else:
                self.shown[key] = shown
        return cleaned

    @property
    def asked(self) -> dict[str, NumberAsked]:
        wrong = {key: [str(sentence) for sentence in sentences] for key, sentences in self.errors.items()}
        return {
            key: NumberAsked(info, self[key].value() or "", self.shown[key], self.units, wrong.get(key, []))
            for key, info in ALL_NUMBERS.items()
        }

    @property
    def subjects(self) -> list[tuple[Subject, list[NumberAsked]]]:
        asked = self.asked
        return [(subject, [asked[info.key] for info in subject.numbers]) for subject in SUBJECTS]

    @property
    def wrong(self) -> list[NumberAsked]:
        return [asked for asked in self.asked.values() if asked.errors]

    def keep(self, *, by: User) -> list[Change] | None:
        """Keep what was changed, or put the sentences beside the numbers and return None."""
        try:
            return keep_house_rules(values=self.cleaned_data, shown=self.shown, by=by)
        except ValidationError as refusal:
            for key, sentences in refusal.message_dict.items():
                self.add_error(key, sentences)
                self.shown[key] = self.current[key]  # both values have been said: the next save is meant
            return None
