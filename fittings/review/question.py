"""Reads from the address which days and which grouping the owner asks about; says calmly what can't be meant."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.core.exceptions import ValidationError

from pieces.review.spans import NAMED, USUAL, Span, span_named
from pieces.review_asked import Asked
from pieces.review_groups import GROUPINGS
from salon.common.days import day_said
from salon.models import Salon, Units

OWN = "own"
EARLIEST = date(2000, 1, 1)
_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ReviewForm(forms.Form):
    """Everything has a usual answer, so that the address alone opens the review."""

    span = forms.ChoiceField(
        label="Days",
        choices=[*NAMED.items(), (OWN, "From day to day, as below")],
        required=False,
        error_messages={"invalid_choice": "There is no such span of days. Choose one of the list."},
    )
    since = forms.DateField(label="From", required=False, widget=_DAY)
    until = forms.DateField(label="To", required=False, widget=_DAY)
    by = forms.ChoiceField(
        label="Grouped by",
        choices=[(grouping.key, grouping.label) for grouping in GROUPINGS.values()],
        required=False,
        error_messages={"invalid_choice": "The review can't be grouped by that. Choose one of the list."},
    )

    def __init__(self, data: Any, *, today: date, salon: Salon, units: Units) -> None:
        usual = {"span": USUAL, "by": "piece"}
        filled = {name: data.get(name, "") for name in ("span", "since", "until", "by")}
        filled = {name: value or usual.get(name, "") for name, value in filled.items()}
        super().__init__(filled)
        self.today, self.salon, self.units = today, salon, units
        self.fields["since"].widget.attrs |= {"min": EARLIEST.isoformat(), "max": today.isoformat()}
        self.fields["until"].widget.attrs |= {"min": EARLIEST.isoformat(), "max": today.isoformat()}
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True  # it is asked with GET: a token has no place in an address
        self.helper.layout = Layout(Row(Column("span"), Column("since"), Column("until"), Column("by")))

    def clean(self) -> dict[str, Any]:
        asked: dict[str, Any] = super().clean() or {}
        if self.errors:
            return asked
        if asked["span"] != OWN:
            asked["days"] = span_named(asked["span"], on=self.today)
            return asked
        for name in ("since", "until"):
            if asked.get(name) is None:
                self.add_error(name, "Write the first and the last day, or choose a span of the list.")
            elif not EARLIEST <= asked[name] <= self.today:
                first = day_said(EARLIEST)
                self.add_error(name, f"The review looks back: write a day from {first} to today.")
        if not self.errors:
            try:
                asked["days"] = Span(asked["since"], asked["until"])
            except ValueError:
                raise ValidationError(
                    "The last day lies before the first. Write the earlier day under “From”."
                ) from None
        return asked

    def asked(self) -> Asked | None:
        """What is asked; None where the form says what is wrong with it."""
        if not self.is_valid():
            return None
        return Asked(
            span=self.cleaned_data["days"],
            today=self.today,
            grouping=GROUPINGS[self.cleaned_data["by"]],
            currency=self.salon.currency,
            length_unit="in" if self.units == Units.IMPERIAL else "cm",
            dead_after_days=self.salon.dead_stock_days,
        )

    def query(self, **more: object) -> str:
        """The same question as an address holds it, with more to it."""
        kept = {"span": self.cleaned_data["span"], "by": self.cleaned_data["by"]}
        if kept["span"] == OWN:
            kept |= {name: self.cleaned_data[name].isoformat() for name in ("since", "until")}
        return urlencode(kept | {name: str(value) for name, value in more.items() if value != ""})
