"""Asks the owner for the house rules, each with its bounds, its start value and where it comes from."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from fittings.house_numbers import ALL_NUMBERS
from fittings.keeping_house_rules import keep_house_rules
from fittings.models import HouseRule
from fittings.placement.house_rules import HouseRuleInfo
from salon.common.lengths import format_length
from salon.current import reader_units
from salon.models import Salon, Units, User


class HouseRulesForm(forms.Form):
    """One number a rule. Lengths stay in millimetres here, where they are exact; inches are told beside them."""

    def __init__(self, *args: Any, salon: Salon, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        current = HouseRule.objects.current()
        inches = reader_units(user, salon) == Units.IMPERIAL
        for info in ALL_NUMBERS.values():
            self.fields[info.key] = forms.FloatField(
                label=f"{info.label} ({info.unit})" if info.unit else info.label,
                min_value=info.low,
                max_value=info.high,
                initial=current[info.key],
                help_text=_about(info, inches=inches),
                widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
            )
        self.helper = FormHelper()
        self.helper.layout = Layout(*self.fields, Submit("save", "Save"))

    def keep(self) -> list[str]:
        return keep_house_rules(values=self.cleaned_data)


def _about(info: HouseRuleInfo, *, inches: bool) -> str:
    start = f"{info.start:g} {info.unit}".strip()
    if inches and info.unit == "mm":
        start += f" ({format_length(info.start, 'in')})"
    return f"Starts at {start}; may be {info.low:g} to {info.high:g}. Source: {info.source}."
