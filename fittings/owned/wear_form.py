"""Asks how she wears a piece: short choices to press, filled in as she told it last."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models.assessment import YesNo
from fittings.choosing.forms import RefusableForm
from fittings.consult.fields import ChoiceField
from fittings.models import Fitting, OwnedPiece, WearEntry
from fittings.owning import WEAR_FACTS, tell_wear
from salon.common.refusing import DATE
from salon.models import User

HOURS = (2, 4, 6, 8, 10, 12, 14, 16, 24)


class WearForm(RefusableForm):
    days_per_week = ChoiceField(
        label="Days a week", choices=[(str(n), str(n)) for n in range(8)], coerce=int, empty_value=None
    )
    hours_per_day = ChoiceField(label="Hours a day", choices=(), coerce=Decimal, empty_value=None)
    worn_to_bed = ChoiceField(label="Slept in", choices=YesNo.choices)
    swum_in = ChoiceField(label="Swum in", choices=YesNo.choices)
    water = ChoiceField(label="Water at home", choices=WearEntry.Water.choices)
    told_on = forms.DateField(label="From which day on", widget=DATE)
    note = forms.CharField(required=False, max_length=240, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    because = forms.CharField(
        label="Why it is corrected", max_length=240, error_messages={"required": "Write why it is corrected."}
    )

    def __init__(
        self, data: Any = None, *, owned: OwnedPiece, today: date, last: WearEntry | None, corrects: WearEntry | None
    ) -> None:
        self.owned, self.corrects = owned, corrects
        told = corrects or last
        facts = {name: getattr(told, name) for name in WEAR_FACTS if told and (corrects or name != "note")}
        hours = facts.get("hours_per_day")
        super().__init__(
            data,
            initial=facts | {"told_on": corrects.told_on if corrects else today, "hours_per_day": _plain(hours)},
        )
        shown = sorted({Decimal(one) for one in HOURS} | ({hours} if hours is not None else set()))
        self.fields["hours_per_day"].choices = [  # type: ignore[attr-defined]  # a ChoiceField
            ("", "Not asked"),
            *((_plain(one), _plain(one)) for one in shown),
        ]
        if corrects is None:
            del self.fields["because"]

    def clean(self) -> dict[str, Any]:
        """At least one answer: an empty entry would stand in the place of what is known."""
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and all(cleaned.get(name) in (None, "") for name in WEAR_FACTS):
            raise ValidationError("Press at least one answer, or write a note: all of them stand at “Not asked”.")
        return cleaned

    def tell(self, *, by: User, at: datetime, fitting: Fitting | None) -> WearEntry | None:
        """Keep it, or put the reason on the form and return None."""
        try:
            return tell_wear(
                owned=self.owned, by=by, at=at, fitting=fitting, corrects=self.corrects, **self.cleaned_data
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


def _plain(hours: Decimal | None) -> str:
    """“8” and “7.5”, as a key that is the same however the number was stored."""
    return "" if hours is None else f"{hours.normalize():f}"
