"""Asks whose drawers are gone through, what was met, why a difference is put right, and whether to end it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from pieces.counting import (
    Counted,
    begin_stocktake,
    count_unit,
    finish_stocktake,
    put_right_difference,
)
from pieces.drawers.frames import LARGEST_BYTES, codes_in
from pieces.models import Maker, Stocktake, StocktakeScan, Unit
from salon.common.refusing import RefusingForm
from salon.models import User

RIGHT_AT_ONCE = 50


class BeginForm(RefusingForm):
    maker = forms.ModelChoiceField(
        Maker.objects.all(),
        label="Whose pieces",
        required=False,
        empty_label="All of them",
        error_messages={"invalid_choice": "Choose one of the makers, or all of them."},
    )

    def begin(self, *, by: User, at: datetime) -> Stocktake | None:
        """Begin it, or put the reason why not on the form and return None."""
        try:
            return begin_stocktake(maker=self.cleaned_data["maker"], by=by, at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class CountForm(RefusingForm):
    """A number that was typed, as a reader that types would write it too."""

    number = forms.CharField(
        label="Number on the label",
        max_length=200,  # an address, where a reader typed the whole code
        error_messages={"required": "Write the number that stands on the label; it begins with U."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )

    def count(self, stocktake: Stocktake, *, by: User, at: datetime) -> Counted | None:
        """Count it, or put the reason why not on the form and return None."""
        try:
            return count_unit(
                stocktake=stocktake,
                number=self.cleaned_data["number"],
                how=StocktakeScan.How.TYPED,
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class SeenForm(forms.Form):
    """What the camera saw: the text of one code, or a frame to be looked through."""

    code = forms.CharField(required=False, max_length=500)
    frame = forms.FileField(required=False, max_length=200)

    def clean(self) -> dict[str, Any]:
        code, frame = self.cleaned_data.get("code"), self.cleaned_data.get("frame")
        if frame is not None and frame.size <= LARGEST_BYTES:
            self.cleaned_data["codes"] = codes_in(frame.file, size=frame.size)
        elif frame is not None:
            raise ValidationError("This frame is too large. Type the number instead.")
        elif code:
            self.cleaned_data["codes"] = [code]
        elif not self.errors:
            raise ValidationError("The camera sent nothing. Type the number instead.")
        return self.cleaned_data

    def count(self, stocktake: Stocktake, *, by: User, at: datetime) -> list[dict[str, str]]:
        """Count what is a unit of ours; of each code, what became of it."""
        return [self._line(stocktake, code, by, at) for code in self.cleaned_data["codes"]]

    def _line(self, stocktake: Stocktake, code: str, by: User, at: datetime) -> dict[str, str]:
        try:
            counted = count_unit(stocktake=stocktake, number=code, how=StocktakeScan.How.CAMERA, by=by, at=at)
        except ValidationError as refusal:
            return {"is": "refused", "of": code[:80], "says": " ".join(refusal.messages)}
        is_ = "again" if counted.again else "doubtful" if counted.doubt else "counted"
        return {"is": is_, "of": counted.unit.number, "says": counted.says}


class PutRightForm(RefusingForm):
    """Units that differ, ticked, and one reason for them all; whole or not at all."""

    because = forms.CharField(
        label="Why",
        max_length=240,
        error_messages={"required": "Write why; it stays in the unit’s history."},
        help_text="such as: looked for in every drawer",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data: Any = None, *, stocktake: Stocktake) -> None:
        super().__init__(data)
        self.stocktake = stocktake
        self.ticked = [str(key) for key in data.getlist("unit")] if data is not None else []

    def clean(self) -> dict[str, Any]:
        numbers = set(self.ticked)
        if not numbers:
            raise ValidationError("Tick the units that are put right.")
        if len(numbers) > RIGHT_AT_ONCE:
            raise ValidationError(f"{RIGHT_AT_ONCE} are put right at once; tick fewer, and the others afterwards.")
        if any("\x00" in number or len(number) > 16 for number in numbers):
            raise ValidationError("Tick only what is shown here.")
        self.units = list(Unit.objects.filter(number__in=numbers).order_by("pk"))
        if len(self.units) < len(numbers):
            raise ValidationError("Tick only what is shown here.")
        return self.cleaned_data

    def put_right(self, *, by: User, at: datetime) -> list[Unit] | None:
        """Put them right, or put the reason why not on the form and return None."""
        because = self.cleaned_data["because"]
        try:
            with transaction.atomic():
                return [
                    put_right_difference(stocktake=self.stocktake, unit=unit, because=because, by=by, at=at)
                    for unit in self.units
                ]
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class FinishForm(RefusingForm):
    leaves = forms.BooleanField(label="What differs is left as it is", required=False)

    def __init__(self, data: Any = None, *, stocktake: Stocktake) -> None:
        super().__init__(data)
        self.stocktake = stocktake

    def finish(self, *, by: User, at: datetime) -> Stocktake | None:
        """End it, or put the reason why not on the form and return None."""
        try:
            return finish_stocktake(stocktake=self.stocktake, leaves=self.cleaned_data["leaves"], by=by, at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
