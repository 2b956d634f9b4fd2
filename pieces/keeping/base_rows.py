"""Clips and tape areas of a base as rows of a form: one row each, lengths in the reader's units.

A row left empty is no clip. Whether clips lie on their base is for `pieces.catalogue.agreement` to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from django import forms
from django.http import QueryDict

from pieces.bases.construction import Clip, TapeArea
from pieces.bases.layout import CLIP_LENGTH_MM, usual_clips
from pieces.bases.outline import BaseOutline
from pieces.keeping_catalogue import MOST_CLIPS, MOST_TAPE_AREAS
from salon.common.form_fields import LengthField
from salon.common.lengths import LengthUnit, format_length

LARGEST_MM = 450  # of a base
SIDES = [("", "Choose"), ("left", "Left"), ("middle", "On it"), ("right", "Right")]


class StripRow(forms.Form):
    """One row of lengths, in the reader's units."""

    tells: ClassVar[tuple[str, ...]] = ()
    """The fields of which one alone begins a row."""

    def __init__(self, *args: Any, unit: LengthUnit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit

    @property
    def is_empty(self) -> bool:
        return not self.errors and all(self.cleaned_data.get(name) in (None, "") for name in self.tells)

    @property
    def texts(self) -> tuple[str, ...]:
        return tuple(self.data.get(self.add_prefix(name), "").strip() for name in self.fields)


class ClipRow(StripRow):
    tells = ("behind", "side", "out")

    behind = LengthField(label="From front", low_mm=0, high_mm=LARGEST_MM, noun="the place of a clip", whole_mm=True)
    side = forms.ChoiceField(
        label="Her side",
        choices=SIDES,
        required=False,
        error_messages={"invalid_choice": "Choose left, right or on the midline."},
    )
    out = LengthField(
        label="From midline", low_mm=0, high_mm=LARGEST_MM / 2, noun="how far out a clip sits", whole_mm=True
    )
    long = LengthField(label="Length", low_mm=10, high_mm=100, noun="the length of a clip", whole_mm=True)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors or self.is_empty:
            return cleaned
        side, out = cleaned.get("side"), cleaned.get("out")
        if cleaned.get("behind") is None:
            self.add_error("behind", "Write how far behind the front edge the middle of the clip lies.")
        if side == "middle" and out:
            self.add_error("out", "It can't be on the midline and beside it. Choose left or right, or empty this.")
        elif side in ("left", "right") and out is None:
            self.add_error("out", "Write how far from the midline its middle lies.")
        elif not side:
            self.add_error("side", "Choose left, right or on the midline.")
        return cleaned

    @property
    def clip(self) -> Clip | None:
        """None of an empty row and of one that can't be read."""
        if not self.is_valid() or self.is_empty:
            return None
        read = self.cleaned_data
        across = {"left": 1, "right": -1}.get(read["side"], 0) * (read["out"] or 0)
        return Clip(read["behind"], across, read["long"] or CLIP_LENGTH_MM)


class TapeRow(StripRow):
    tells = ("begins", "ends")

    begins = LengthField(label="Begins", low_mm=0, high_mm=LARGEST_MM, noun="where a strip begins", whole_mm=True)
    ends = LengthField(label="Ends", low_mm=0, high_mm=LARGEST_MM, noun="where a strip ends", whole_mm=True)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors or self.is_empty:
            return cleaned
        for name, word in (("begins", "begins"), ("ends", "ends")):
            if cleaned.get(name) is None:
                self.add_error(name, f"Write how far behind the front edge the strip {word}.")
        return cleaned

    @property
    def area(self) -> TapeArea | None:
        if not self.is_valid() or self.is_empty:
            return None
        return TapeArea(self.cleaned_data["begins"], self.cleaned_data["ends"])


def _rows_of(row: type[StripRow], most: int, many: str) -> Any:
    return forms.formset_factory(row, extra=0, max_num=most, absolute_max=most, validate_max=True), {
        "too_many_forms": f"A base has at most {most} {many}.",
        "missing_management_form": f"The rows of {many} did not arrive whole. Look at them, then save again.",
    }


CLIP_ROWS, CLIP_SENTENCES = _rows_of(ClipRow, MOST_CLIPS, "clips")
TAPE_ROWS, TAPE_SENTENCES = _rows_of(TapeRow, MOST_TAPE_AREAS, "strips for tape")


def rows_typed(data: Mapping[str, str], prefix: str, names: Iterable[str], most: int) -> list[dict[str, str]]:
    """The rows of a post as they were typed."""
    count = data.get(f"{prefix}-TOTAL_FORMS", "")
    total = min(int(count), most) if count.isascii() and count.isdigit() and len(count) < 6 else 0
    return [{name: data.get(f"{prefix}-{number}-{name}", "") for name in names} for number in range(total)]


def with_rows(data: QueryDict, prefix: str, rows: Sequence[Mapping[str, str]]) -> QueryDict:
    """The same post with these rows in place of its own."""
    rewritten = data.copy()
    for name in [name for name in rewritten if name.startswith(f"{prefix}-")]:
        del rewritten[name]
    rewritten[f"{prefix}-TOTAL_FORMS"] = rewritten[f"{prefix}-INITIAL_FORMS"] = str(len(rows))
    for number, row in enumerate(rows):
        for name, text in row.items():
            rewritten[f"{prefix}-{number}-{name}"] = text
    return rewritten


def usual_rows(outline: str, length_mm: int, width_mm: int, unit: LengthUnit) -> list[dict[str, str]]:
    """The clips of a base of that size where they usually sit; ValueError where it has no room for any."""
    shape = BaseOutline.named(outline, length_mm=float(length_mm), width_mm=float(width_mm))
    return [clip_asked(clip, unit) for clip in usual_clips(shape)]


def clip_asked(clip: Clip, unit: LengthUnit) -> dict[str, str]:
    """A clip as its row shows it."""
    return {
        "behind": format_length(clip.u_mm, unit),
        "side": "middle" if clip.v_mm == 0 else "left" if clip.v_mm > 0 else "right",
        "out": format_length(abs(clip.v_mm), unit) if clip.v_mm else "",
        "long": format_length(clip.length_mm, unit),
    }


def area_asked(area: TapeArea, unit: LengthUnit) -> dict[str, str]:
    return {"begins": format_length(area.from_mm, unit), "ends": format_length(area.to_mm, unit)}


def begun_clip(unit: LengthUnit) -> dict[str, str]:
    """An empty row, as long as most clips are."""
    return {"behind": "", "side": "", "out": "", "long": format_length(CLIP_LENGTH_MM, unit)}
