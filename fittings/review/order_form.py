"""The reorder proposal as a form: how many of each, changed or not, and one press that makes drafts of it.

A row is named by its variant; 0 or nothing leaves it out. What is typed stays when something is refused.
"""

from __future__ import annotations

import re
from datetime import datetime
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError
from django.http import QueryDict

from fittings.review.section import Reading
from fittings.review.tables import Cell, Column, Row, Table, count, money
from pieces.models import MakerOrder, Variant
from pieces.reorder_review import Reorder, draft_orders
from pieces.review.reordering import Proposed
from salon.common.lengths import format_length
from salon.models import User

MOST_SHOWN = 100
MOST_OF_ONE = 500
_FIELD = re.compile(r"count-([0-9]{1,18})")
_WHOLE = re.compile(r"[0-9]{1,4}")


class OrderForm:
    """What was typed, by variant; `once` is the key that a second press shares with the first."""

    def __init__(self, posted: QueryDict | None = None) -> None:
        self.typed: dict[int, str] = {}
        self.refused: dict[int, str] = {}
        self.errors: list[str] = []
        self.once = uuid4()
        if posted is not None:
            self.typed = {
                int(field[1]): posted.get(field[0], "").strip()[:8]
                for field in map(_FIELD.fullmatch, list(posted)[:1000])
                if field
            }
            self.once = _key(posted.get("once", "")) or self.once

    def draft(self, *, by: User, at: datetime) -> list[MakerOrder] | None:
        """Make the drafts; None where something is refused, which then stands on the form."""
        counts = {pk: self._count(pk, typed) for pk, typed in self.typed.items()}
        wanted = {pk: number for pk, number in counts.items() if number}
        if self.refused:
            self.errors.append("Some numbers can’t be ordered; each says what would be right.")
            return None
        if not wanted:
            self.errors.append("Write how many of at least one piece.")
            return None
        variants = Variant.objects.select_related("piece__base__maker", "shade").in_bulk(list(wanted))
        if len(variants) < len(wanted):
            self.errors.append("A piece of the proposal is no longer in the catalogue. Look at the proposal again.")
            return None
        try:
            orders = {variant: wanted[pk] for pk, variant in variants.items()}
            return draft_orders(counts=orders, by=by, at=at, once=self.once)
        except ValidationError as refusal:
            self.errors += refusal.messages
            return None

    def _count(self, pk: int, typed: str) -> int:
        if not typed:
            return 0
        if not _WHOLE.fullmatch(typed) or int(typed) > MOST_OF_ONE:
            self.refused[pk] = f"Write a whole number from 0 to {MOST_OF_ONE}."
            return 0
        return int(typed)


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
    """The table's rows with the field of each: its name, what stands in it, and what was wrong with that."""
    rows = []
    for (row, cells), line in zip(table.labelled[:MOST_SHOWN], reorder.proposal.lines, strict=False):
        field = {
            "name": f"count-{line.key}",
            "value": form.typed.get(line.key, str(line.count)),
            "refused": form.refused.get(line.key, ""),
        }
        rows.append((row, cells[:-1], field))
    return rows


def missed_table(reorder: Reorder, reading: Reading) -> Table:
    """What consults missed that the catalogue does not have."""
    rows = [
        Row(
            said,
            (
                Cell(_length(length, reading), (length,)) if length else Cell("–", ("",)),
                count(number, ""),
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
            count(stocked.in_drawer),
            count(stocked.on_the_way),
            count(line.lead_days),
            count(line.enough),
            money(variant.cost_minor, variant.currency),
            count(line.count),
        ),
    )


def _length(length_mm: int, reading: Reading) -> str:
    return format_length(float(length_mm), "in" if reading.units == "imperial" else "cm")


def _key(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
