"""Asks which units get a label, on which sheet, and where a begun sheet goes on; drawing them is `label_sheets`'."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from pieces.drawers.label_sheets import MOST_LABELS, SHEETS, LabelSheet
from pieces.models import Unit
from salon.common.refusing import RefusingForm

_WHERE = "Write the first free place of the sheet: 1 is the top left, counted along the rows."


class LabelsForm(RefusingForm):
    """Sent by GET: the same address makes the same sheets again."""

    sheet = forms.TypedChoiceField(
        label="Sheet",
        coerce=int,
        choices=[(places, sheet.name) for places, sheet in SHEETS.items()],
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose one of the sheets."),
    )
    start = forms.IntegerField(
        label="First free place",
        min_value=1,
        error_messages=dict.fromkeys(("required", "invalid", "min_value"), _WHERE),
        help_text="Of a begun sheet; 1 is the top left, counted along the rows.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": 3}),
    )

    def __init__(self, data: Any = None, *, numbers: Sequence[str] = ()) -> None:
        super().__init__(data, initial={"sheet": next(iter(SHEETS)), "start": 1})
        self.numbers = list(dict.fromkeys(numbers))

    def clean(self) -> dict[str, Any]:
        if "sheet" in self.cleaned_data and "start" in self.cleaned_data:
            sheet = SHEETS[self.cleaned_data["sheet"]]
            if self.cleaned_data["start"] > sheet.places:
                self.add_error("start", f"This sheet has {sheet.places} places; write one from 1 to {sheet.places}.")
        if not self.numbers:
            raise ValidationError("Tick the units that get a label.")
        if len(self.numbers) > MOST_LABELS:
            raise ValidationError(f"{MOST_LABELS} labels are made at once; tick fewer, and the others afterwards.")
        return self.cleaned_data

    def units(self) -> list[Unit]:
        """Those that were ticked, in the order of the list; one that there is not is left out."""
        by_number = {unit.number: unit for unit in units_to_label().filter(number__in=self.numbers)}
        return [by_number[number] for number in self.numbers if number in by_number]

    @property
    def chosen_sheet(self) -> LabelSheet:
        return SHEETS[self.cleaned_data["sheet"]]


def units_to_label() -> Any:
    """Units with what stands on a label of them."""
    return Unit.objects.select_related("variant__piece", "variant__shade")
