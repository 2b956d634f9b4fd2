"""Asks for an order, its lines, the day it is expected, what came of it and why nothing more will.

What is asked is handed to the deeds by the views; a refusal comes back beside the field it is about.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from pieces.models import Maker, MakerOrder, OrderLine, Unit, Variant
from pieces.ordering import LineWanted, add_line, change_line, draft_order
from salon.common.form_fields import MoneyField
from salon.common.refusing import DATE, RefusingForm
from salon.models import User

MOST_OF_A_LINE = 500
LOAD_AGAIN = "Load this page again."  # what the page itself sends came back spoilt
_HOW_MANY = f"Write a whole number from 1 to {MOST_OF_A_LINE}."
_DAY = {"invalid": "Write the day as 2026-12-24."}
_WORDS = {"autocomplete": "off"}


def _count_box() -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class QuietForm(RefusingForm):
    """A form that is one part of a page: the template draws the tag around it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.form_tag = False


class NewOrderForm(QuietForm):
    maker = forms.ModelChoiceField(
        queryset=Maker.objects.filter(bases__pieces__variants__isnull=False).distinct(),
        empty_label="Choose one",
        error_messages={"required": "Choose the maker.", "invalid_choice": "Choose one of the makers shown."},
    )
    note = forms.CharField(required=False, max_length=240, widget=forms.TextInput(attrs=_WORDS))
    once = forms.UUIDField(required=False, widget=forms.HiddenInput, error_messages={"invalid": LOAD_AGAIN})

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"once": uuid.uuid4()})

    def draft(self, *, by: User, at: datetime) -> MakerOrder | None:
        """Begin it, or put the reason on the form and return None."""
        try:
            return draft_order(by=by, at=at, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class LineAddForm(QuietForm):
    """One variant of the maker's onto a draft."""

    model = OrderLine
    beside: ClassVar = {"order_line_once_of_a_variant": "count", "order_line_1_to_500": "count"}
    variant = forms.ModelChoiceField(
        queryset=Variant.objects.none(),
        widget=forms.HiddenInput,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Find the piece and press it."),
    )
    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST_OF_A_LINE,
        widget=_count_box(),
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), _HOW_MANY),
    )
    purpose = forms.ChoiceField(choices=Unit.Purpose.choices)

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, order: MakerOrder, variant: Variant | None = None
    ) -> None:
        self.order = order
        shown = (data or {}).get("variant") or (variant.pk if variant else "")
        super().__init__(
            data,
            initial={"variant": shown, "count": 1, "purpose": Unit.Purpose.SALE},
            auto_id=f"id_add_{str(shown)[:9]}_%s",
        )
        makers = Variant.objects.filter(piece__base__maker=order.maker).select_related("piece__base__maker", "shade")
        self.fields["variant"].queryset = makers  # type: ignore[attr-defined]  # a ModelChoiceField

    def add(self, *, at: datetime) -> OrderLine | None:
        try:
            return add_line(order=self.order, wanted=LineWanted(**self.cleaned_data), at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class LineChangeForm(QuietForm):
    """A line of a draft; how many and what for stand fast where it is ordered for a client."""

    model = OrderLine
    beside: ClassVar = {"order_line_once_of_a_variant": "purpose", "order_line_1_to_500": "count"}
    count = LineAddForm.base_fields["count"]
    purpose = forms.ChoiceField(choices=Unit.Purpose.choices)
    cost_minor = MoneyField(label="Cost of one")
    note = forms.CharField(
        label="Note for the maker", required=False, max_length=240, widget=forms.TextInput(attrs=_WORDS)
    )

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, line: OrderLine, currency: str, sees_costs: bool
    ) -> None:
        self.line = line
        kept = {name: getattr(line, name) for name in ("count", "purpose", "cost_minor", "note")}
        super().__init__(data, initial=kept, auto_id=f"id_line_{line.pk}_%s")
        self.fields["cost_minor"].currency = currency  # type: ignore[attr-defined]  # a MoneyField
        if line.for_client_id:
            del self.fields["count"], self.fields["purpose"]
        if not sees_costs:
            del self.fields["cost_minor"]

    def change(self) -> OrderLine | None:
        try:
            return change_line(line=self.line, **{**self.initial, **self.cleaned_data})
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class ExpectedForm(QuietForm):
    """The day a maker names: when a draft is sent, and when another is heard of."""

    expected_on = forms.DateField(
        label="Expected on", required=False, widget=DATE, error_messages=_DAY, help_text="Empty when nobody knows yet."
    )


class ReceiveForm(QuietForm):
    """How many of each line came in one parcel, and when. `already` guards against two who take in the same one."""

    received_on = forms.DateField(
        label="Came in on",
        widget=DATE,
        error_messages={"required": "Write the day on which the pieces came in.", **_DAY},
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, lines: Sequence[OrderLine], today: date) -> None:
        super().__init__(data, initial={"received_on": today}, auto_id="id_came_%s")
        self.lines = {line.pk: line for line in lines if line.to_come}
        self.takes_all = "all" in (data or {})
        for line in self.lines.values():
            wrong = f"Write a whole number, up to {line.to_come}."
            self.fields[f"count-{line.pk}"] = forms.IntegerField(
                label=f"How many came of {line.variant.piece}, {line.variant.shade.code}",
                required=False,
                min_value=0,
                max_value=line.count,
                widget=_count_box(),
                error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wrong),
            )
            self.fields[f"already-{line.pk}"] = forms.IntegerField(
                required=False,
                widget=forms.HiddenInput,
                initial=line.received_count,
                error_messages={"invalid": LOAD_AGAIN},
            )

    def arrived(self) -> list[tuple[OrderLine, int, int | None]]:
        """Line, how many came, how many had come when the page was shown."""
        found = []
        for line in self.lines.values():
            already = self.cleaned_data[f"already-{line.pk}"]
            count = line.to_come if self.takes_all else self.cleaned_data[f"count-{line.pk}"]
            if count:
                found.append((line, count, already))
        return found

    def renew(self, lines: Sequence[OrderLine]) -> None:
        """Go on from what is here now, with the numbers as they were typed."""
        kept, fresh = dict(self.data.items()), {line.pk: line for line in lines if line.to_come}
        self.lines = {pk: fresh[pk] for pk in self.lines if pk in fresh}
        for pk, line in self.lines.items():
            kept[f"already-{pk}"] = line.received_count
        self.data = kept

    def rows(self) -> list[tuple[OrderLine, Any, Any]]:
        """Each line with its two boxes, for the template."""
        return [(line, self[f"count-{pk}"], self[f"already-{pk}"]) for pk, line in self.lines.items()]


class CloseForm(QuietForm):
    because = forms.CharField(
        label="Why nothing more will come",
        max_length=240,
        widget=forms.TextInput(attrs=_WORDS),
        error_messages={"required": "Write why nothing more will come."},
    )


class DropForm(QuietForm):
    """Nothing to ask; it carries what the deed refused."""
