"""Labels of units on A4: which sheets there are, where a begun one goes on, and what stands on a label.

Sheets are plain grids of labels, named by how many they hold. Sizes in millimetres: common practice in the trade of
stationers, from memory; static/css/labels.css lays the same sizes out. The code on a label is a QR code (ISO/IEC 18004,
by segno) of the address that leads to the unit's page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from pieces.models import Unit
from salon.common.lengths import LengthUnit, format_length
from salon.common.printing import pdf_of

TEMPLATE: Final = "pdf/labels.html"
STYLE: Final = "css/labels.css"
MOST_LABELS: Final = 130


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of equal labels in rows; the first label's corner, and from one label to the next."""

    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    step_x_mm: float
    step_y_mm: float

    @property
    def places(self) -> int:
        return self.columns * self.rows

    @property
    def name(self) -> str:
        return f"{self.places} labels, {self.width_mm:g} × {self.height_mm:g} mm, {self.columns} in a row"

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Left and top of a place, counted from 0 along the rows."""
        row, column = divmod(place, self.columns)
        return self.left_mm + column * self.step_x_mm, self.top_mm + row * self.step_y_mm


SHEETS: Final = {
    sheet.places: sheet
    for sheet in (
        LabelSheet(3, 8, 70, 37, left_mm=0, top_mm=0.5, step_x_mm=70, step_y_mm=37),
        LabelSheet(3, 7, 63.5, 38.1, left_mm=7.25, top_mm=15.15, step_x_mm=66, step_y_mm=38.1),
        LabelSheet(5, 13, 38.1, 21.2, left_mm=4.75, top_mm=10.7, step_x_mm=40.6, step_y_mm=21.2),
    )
}


@dataclass(frozen=True)
class Label:
    number: str
    piece: str
    shade: str
    length: str
    is_try_on: bool
    code: SafeString


def labels_of(units: Sequence[Unit], *, address: str, length_unit: LengthUnit) -> list[Label]:
    """What stands on each unit's label; `address` begins what the code leads to and ends before the number."""
    return [
        Label(
            number=unit.number,
            piece=unit.variant.piece.name,
            shade=unit.variant.shade.code,
            length=format_length(unit.variant.length_mm, length_unit),
            is_try_on=unit.purpose == Unit.Purpose.TRY_ON,
            code=qr_code(f"{address}{unit.number}/", title=f"Code of unit {unit.number}"),
        )
        for unit in units
    ]


def qr_code(text: str, *, title: str) -> SafeString:
    """A QR code as an inline drawing without a size of its own, with the quiet zone the standard asks for."""
    import segno

    drawing: str = segno.make(text, micro=False, error="m").svg_inline(border=4, omitsize=True, title=title)
    drawing = drawing.replace("<svg", '<svg role="img"', 1)
    return mark_safe(drawing)  # noqa: S308  # the library draws it and escapes the title


def places_on(sheet: LabelSheet, labels: Sequence[Label], *, start: int) -> Iterator[list[Label | None]]:
    """Sheet by sheet what stands on each place, None where it stays empty; `start` counts from 1 on the first sheet."""
    row: list[Label | None] = [None] * (start - 1) + list(labels)
    for first in range(0, len(row), sheet.places):
        yield row[first : first + sheet.places]


def labels_pdf(sheet: LabelSheet, labels: Sequence[Label], *, start: int) -> bytes:
    """The sheets, to be printed in their actual size. Raises PrintingUnavailable where nothing prints."""
    return pdf_of(labels_html(sheet, labels, start=start), sheet=STYLE)


def labels_html(sheet: LabelSheet, labels: Sequence[Label], *, start: int) -> str:
    leaves = list(places_on(sheet, labels, start=start))
    return render_to_string(TEMPLATE, {"sheet": sheet, "leaves": leaves})
