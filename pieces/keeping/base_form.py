"""Asks for a base with its clips and tape areas in rows, and draws what has been typed so far.

What a base may be is `pieces.keeping_catalogue`'s to say; the rows are `base_rows`'.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from crispy_forms.layout import Layout, Row
from django.core.exceptions import ValidationError
from django.forms.models import fields_for_model

from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.catalogue import agreement
from pieces.keeping.base_rows import (
    CLIP_ROWS,
    CLIP_SENTENCES,
    LARGEST_MM,
    TAPE_ROWS,
    TAPE_SENTENCES,
    area_asked,
    clip_asked,
)
from pieces.keeping.form import CHOOSE, KeepingForm
from pieces.keeping_catalogue import (
    add_base,
    change_base,
    clips_of,
    tape_areas_of,
)
from pieces.models import Base
from pieces.seen_versions import ChangedMeanwhile
from salon.common.form_fields import LengthField, WholeField, in_reader_units
from salon.common.lengths import LengthUnit
from salon.models import Units, User


class BaseForm(KeepingForm):
    """The base with its two sets of rows. `clips` and `tape` stand for what is stored unless they are handed in."""

    model = Base
    beside = {"base_name_once_for_a_maker": "name", "base_size_20_to_450_mm": "length_mm"}

    length_mm = LengthField(
        label="Length",
        help_text="Front to back.",
        low_mm=20,
        high_mm=LARGEST_MM,
        noun="the length of a base",
        whole_mm=True,
    )
    width_mm = LengthField(
        label="Width",
        help_text="Where it is widest.",
        low_mm=20,
        high_mm=LARGEST_MM,
        noun="the width of a base",
        whole_mm=True,
    )
    weight_g = WholeField(label="Weight with its hair, in grams", low=1, high=2000)

    def __init__(
        self,
        data: Any = None,
        *,
        row: Base | None = None,
        units: Units,
        clips: list[dict[str, str]] | None = None,
        tape: list[dict[str, str]] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, row=row, units=units, **kwargs)
        plain = ["maker", "name", "outline", "construction", "front_edge", "two_way", "stretches", "nickel_free"]
        self.fields.update(
            fields_for_model(
                Base, fields=plain, labels={"name": "The maker's name for it"}, help_texts={"nickel_free": ""}
            )
        )
        self.say_empty(maker=CHOOSE, outline=CHOOSE, construction=CHOOSE, nickel_free="The maker does not say")
        self.begin("length_mm", "width_mm")
        self.helper.form_tag = False
        self.helper.layout = Layout(
            *[name for name in ("shown",) if name in self.fields],
            Row("maker", "name"),
            Row("length_mm", "width_mm", "outline"),
            Row("construction", "front_edge"),
            Row("two_way", "stretches"),
            Row("weight_g", "nickel_free"),
        )
        self.stored_clips = clips_of(row) if row else ()
        self.stored_areas = tape_areas_of(row) if row else ()
        if data is None and clips is None:
            clips = [clip_asked(clip, self.unit) for clip in self.stored_clips]
        if data is None and tape is None:
            tape = [area_asked(area, self.unit) for area in self.stored_areas]
        units_of_rows = {"unit": self.unit}
        self.clips = CLIP_ROWS(
            data, prefix="clips", initial=clips, form_kwargs=units_of_rows, error_messages=CLIP_SENTENCES
        )
        self.tape = TAPE_ROWS(
            data, prefix="tape", initial=tape, form_kwargs=units_of_rows, error_messages=TAPE_SENTENCES
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for rows, words in ((self.clips, "clips"), (self.tape, "strips for tape")):
            if not rows.is_valid():
                for sentence in rows.non_form_errors() or [
                    f"Look at the {words}: one of them can't be read as it stands."
                ]:
                    self.add_error(None, str(sentence))
        return cleaned

    def keep(self, *, by: User) -> Base | None:
        """Add or change it, or put the reason on the form and return None."""
        rows: dict[str, Any] = {"clips": self.read_clips, "tape_areas": self.read_areas}
        try:
            if self.row is None:
                return add_base(by=by, **rows, **self.asked())
            return change_base(base=self.row, by=by, shown=self.version, **rows, **self.asked())
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def refuse(self, refusal: ValidationError) -> None:
        """What is about clips or strips stands above all fields, by its name: there it is seen with either."""
        if isinstance(refusal, ChangedMeanwhile) and hasattr(refusal, "error_dict"):
            told = refusal.message_dict
            for name, word in (("clips", "Clips"), ("tape_areas", "Areas for tape")):
                told[name] = [f"{word}: {said[0].lower()}{said[1:]}" for said in told.get(name, ())]
            refusal = ChangedMeanwhile({name: said for name, said in told.items() if said})
        super().refuse(refusal)

    @property
    def read_clips(self) -> tuple[Clip, ...]:
        """Of the rows that can be read; a row that says what was shown is the stored clip, which is finer."""
        shown = {tuple(clip_asked(clip, self.unit).values()): clip for clip in self.stored_clips}
        return tuple(shown.get(row.texts, clip) for row in self.clips.forms if (clip := row.clip))

    @property
    def read_areas(self) -> tuple[TapeArea, ...]:
        shown = {tuple(area_asked(area, self.unit).values()): area for area in self.stored_areas}
        return tuple(shown.get(row.texts, area) for row in self.tape.forms if (area := row.area))


@dataclass(frozen=True, slots=True)
class DrawableBase:
    """A base as it is stored or as far as it is typed, and what does not agree with itself in it."""

    base: Base
    shape: BaseShape
    remarks: list[str]


def drawable(form: BaseForm) -> DrawableBase | None:
    """What the form shows of a base; None until an outline, a length and a width can be read."""
    if not form.is_bound:
        return None if form.row is None else _drawable(form.row, form.stored_clips, form.stored_areas, form.unit)
    form.is_valid()
    said = form.cleaned_data
    if not all(said.get(name) for name in ("outline", "length_mm", "width_mm")):
        return None
    drawn = ("name", "outline", "length_mm", "width_mm", "front_edge", "two_way")
    base = Base(**{name: said[name] for name in drawn if name in said})
    return _drawable(base, form.read_clips, form.read_areas, form.unit)


def _drawable(base: Base, clips: tuple[Clip, ...], areas: tuple[TapeArea, ...], unit: LengthUnit) -> DrawableBase:
    """A strip without a depth, or beyond the base, has no drawing."""
    measures = {name: getattr(base, name) for name in ("outline", "length_mm", "width_mm")}
    disagreements = agreement.base({**measures, "clips": clips, "tape_areas": areas})
    shape = base.shape_with(clips, [area for area in areas if area.from_mm < area.to_mm <= base.length_mm])
    return DrawableBase(base, shape, [in_reader_units(sentence, unit) for _, sentence in disagreements])
