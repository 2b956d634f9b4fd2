"""The reorder proposal as a form: how many of each, changed or not, and one press that makes drafts of it.

A row is named by its variant; 0 or nothing leaves it out. What is typed stays when something is refused.
"""

from __future__ import annotations

import re
from datetime import datetime
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from fittings.review.section import Reading
from fittings.review.tables import Cell, Column, Row, Table, count, money
from pieces.models import MakerOrder, Variant
from pieces.reorder_review import Reorder, draft_orders
from pieces.review.reordering import Proposed
from salon.common.lengths import format_length
from salon.models import User

MOST_SHOWN = 150  # fewer than Django takes fields of one form
MOST_READ = 1000
MOST_OF_ONE = 500
_FIELD = re.compile(r"count-([0-9]{1,18})")
_SENTENCE = f"Write a whole number from 0 to {MOST_OF_ONE}."


class OrderForm(forms.Form):
    """A field for each variant that was posted; `once` is the key that a second press shares with the first."""

    once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, posted: QueryDict | None = None) -> None:
        super().__init__(posted)
        named = filter(None, map(_FIELD.fullmatch, list(posted or ())[:MOST_READ]))
        keys = {int(field[1]) for field in named}
        self.variants = (
            Variant.objects.select_related("piece__base__maker", "shade").in_bulk(list(keys)) if keys else {}
        )
        for key in self.variants:
            self.fields[f"count-{key}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_OF_ONE,
                required=False,
                widget=forms.TextInput,
                error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), _SENTENCE),
            )

    def draft(self, *, by: User, at: datetime) -> list[MakerOrder] | None:
        """Make the drafts; None where something is refused, which then stands on the form."""
        if not self.is_valid():
            return None
        counts = {variant: self.cleaned_data[f"count-{key}"] for key, variant in self.variants.items()}
        wanted = {variant: count for variant, count in counts.items() if count}
        if not wanted:
            self.add_error(None, "Write how many of at least one piece.")
            return None
        try:
            return draft_orders(counts=wanted, by=by, at=at, once=self.cleaned_data["once"] or uuid4())
        except ValidationError as refusal:
            self.add_error(None, ValidationError(refusal.messages))
            return None

    def shown(self, line: Proposed[int]) -> dict[str, str]:
        """The field of one row: its name, what stands in it, and what is wrong with that."""
        name = f"count-{line.key}"
        typed = self.data.get(name, str(line.count)) if self.is_bound else str(line.count)
        return {
            "name": name,
            "value": typed[:40],
            "refused": " ".join(str(error) for error in self.errors.get(name, ())),
        }

    @property
    def key(self) -> str:
        """The form's key as it was sent; a new one where none was, or where it can't be read."""
        return str(uuid4() if "once" in self.errors else self.data.get("once") or uuid4())


def proposal_table(reorder: Reorder, reading: Reading) -> Table:
    """What is proposed, a row a variant; the page adds the field for how many."""
    return Table(
        "order",
        "What to order",
        "Piece",
        (
            Column("Maker"),
            Column("Sold"),
            Column("Asked for in vain"),
            Column("To sell here"),
            Column("On its way"),
            Column("Lead time in days"),
            Column("Enough until the next order"),
            Column("Cost of one"),
            Column("Proposed"),
        ),
        [_row(line, reorder, reading) for line in reorder.proposal.lines],
        empty="Nothing needs ordering: what is here and on its way suffices for what was sold and asked for.",
    )


def rows_to_fill(
    table: Table, reorder: Reorder, form: OrderForm
) -> list[tuple[Row, list[tuple[str, Cell]], dict[str, str]]]:
    """The table's rows with the field of each: the first so many, and every one in which something was typed."""
    return [
        (row, cells[:-1], form.shown(line))
        for place, ((row, cells), line) in enumerate(zip(table.labelled, reorder.proposal.lines, strict=True))
        if place < MOST_SHOWN or line.key in form.variants
    ]


def missed_table(reorder: Reorder, reading: Reading) -> Table:
    """What consults missed that the catalogue does not have."""
    rows = [
        Row(
            said,
            (
                Cell(_length(length, reading), (length,)) if length else Cell("–", ("",)),
                count(number, reading.opens(f"missed:{length or ''}.{said}")),
            ),
        )
        for said, length, number in reorder.words
    ]
    return Table(
        "missed",
        "Asked for, and not in the catalogue",
        "What was missed",
        (Column("Length", ("Length in mm",)), Column("Times")),
        rows,
        empty="Nothing was asked for that the catalogue does not have.",
    )


def _row(line: Proposed[int], reorder: Reorder, reading: Reading) -> Row:
    variant, stocked = reorder.variants[line.key], reorder.stocked[line.key]
    asked_more = f"and {line.asked_for_others} for one no longer made" if line.asked_for_others else ""
    came_back = f"{stocked.came_back} came back" if stocked.came_back else ""
    return Row(
        f"{variant.piece}, {variant.shade}, {_length(variant.length_mm, reading)}",
        (
            Cell(str(variant.piece.base.maker), (str(variant.piece.base.maker),)),
            count(stocked.sold, reading.opens(f"variant-sold:{line.key}"), came_back),
            count(line.asked, reading.opens(f"variant-asked:{line.key}"), asked_more),
            count(stocked.in_drawer, reading.opens(f"variant-here:{line.key}")),
            count(stocked.on_the_way),
            count(line.lead_days),
            count(line.enough),
            money(variant.cost_minor, variant.currency),
            count(line.count),
        ),
    )


def _length(length_mm: int, reading: Reading) -> str:
    return format_length(float(length_mm), "in" if reading.units == "imperial" else "cm")
