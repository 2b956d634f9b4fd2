"""Asks for a picture of the ring, for the shades in it, and for the marks; what they read is `reading`'s to say."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from pieces.models import RingPhoto, Shade
from pieces.ring.keeping import keep_shade_readings
from pieces.ring.reading import MOST_SWATCHES, Pictured, RingRead, read_shades
from pieces.ring.taking import take_ring_photo
from salon.colour.marks import Marks, MarksError, marks_from_json
from salon.colour.reading import ReadingRefused
from salon.common.pictures import pixels_of
from salon.models import Salon, User

NO_MARKS = '{"reference": null, "spots": {}}'

Choices = list[tuple[str, list[tuple[str, str]]]]


class RingPhotoForm(forms.Form):
    """Asks for one picture; whether it can be taken in is `taking`'s to say."""

    file = forms.FileField(
        label="Photo of the shades",
        error_messages={"required": "Take or choose a photo first.", "empty": "This file is empty. Choose another."},
        widget=forms.FileInput(attrs={"accept": "image/*,.heic,.heif"}),
    )
    upload_key = forms.UUIDField(
        widget=forms.HiddenInput, error_messages=dict.fromkeys(("required", "invalid"), "Load this page again.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["upload_key"] = uuid.uuid4()

    def take(self, *, by: User, at: datetime) -> RingPhoto | None:
        """Take it in, or put the reason on the form and return None."""
        file = self.cleaned_data["file"]
        try:
            return take_ring_photo(
                file=file.file, size=file.size, upload_key=self.cleaned_data["upload_key"], by=by, at=at
            )
        except ValidationError as refusal:
            self.add_error("file", refusal)
            return None


def shade_choices(ring: Sequence[Shade]) -> Choices:
    """The shades maker by maker, in the order of the ring, as a list to choose from holds them."""
    makers = groupby(ring, key=lambda shade: shade.maker.name)
    return [(maker, [(str(shade.pk), str(shade)) for shade in shades]) for maker, shades in makers]


class OneShadeForm(forms.Form):
    def __init__(self, *, choices: Choices) -> None:
        super().__init__(auto_id="one-%s")
        self.fields["shade"] = forms.ChoiceField(label="Which shade", choices=[("", "Choose a shade"), *choices])


class RowBegunForm(forms.Form):
    """Where a row begins in the ring and how long it is; what follows is filled in, to be put right."""

    count = forms.IntegerField(
        label="How many swatches",
        initial=6,
        min_value=1,
        max_value=MOST_SWATCHES,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), f"Write how many, from 1 to {MOST_SWATCHES}."
        ),
    )

    def __init__(self, data: Any = None, *, choices: Choices) -> None:
        super().__init__(data, auto_id="row-%s")
        self.fields["first"] = forms.ChoiceField(label="The first shade", choices=[("", "Choose a shade"), *choices])
        self.order_fields(["first", "count"])

    def following(self, ring: Sequence[Shade]) -> list[str]:
        """The keys of the first shade and those after it in the ring's order; empty past its end."""
        keys = [str(shade.pk) for shade in ring]
        at, count = keys.index(self.cleaned_data["first"]), self.cleaned_data["count"]
        listed = keys[at : at + count]
        return listed + [""] * (count - len(listed))


def pictured_in(asked: QueryDict, ring: Sequence[Shade]) -> Pictured | None:
    """Which shades the address says are in the photo: `shade=…` for one, `row=…` several times; None for neither.

    Raises ValidationError with a sentence for what is no row.
    """
    row = [value for value in asked.getlist("row") if value]
    chosen = row or [value for value in asked.getlist("shade") if value]
    if not chosen:
        return None
    by_key = {str(shade.pk): shade for shade in ring}
    if any(value not in by_key for value in chosen):
        raise ValidationError("One of the shades is not in the ring. Choose them again.")
    if len(set(chosen)) < len(chosen):
        twice = next(by_key[value] for value in chosen if chosen.count(value) > 1)
        raise ValidationError(f"{twice} is chosen twice. A row shows each shade once.")
    if len(chosen) > MOST_SWATCHES:
        raise ValidationError(f"A row has up to {MOST_SWATCHES} swatches. Take a second photo for the others.")
    if not row and len(chosen) > 1:
        raise ValidationError("One shade at a time is read at three zones. Choose one, or a row.")
    return Pictured(tuple(by_key[value] for value in chosen), is_row=bool(row))


class MarksForm(forms.Form):
    """The marks of one photo, read as it is cleaned; `seen` is the fingerprint of what she was shown."""

    marks = forms.CharField(required=False, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, photo: RingPhoto, pictured: Pictured, salon: Salon, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.photo, self.pictured, self.salon = photo, pictured, salon
        self.placed: Marks | None = None
        self.read: RingRead | None = None
        self.refused: ReadingRefused | None = None

    def clean(self) -> dict[str, Any]:
        text = self.cleaned_data.get("marks", "")
        if self.errors:
            return self.cleaned_data
        try:
            self.placed = marks_from_json(text or NO_MARKS, regions=self.pictured.regions)
            pixels = pixels_of(self.photo.full)
            self.read = read_shades(self.pictured, pixels=pixels, marks=self.placed, salon=self.salon)
        except MarksError as error:
            self.add_error(None, str(error))
        except ReadingRefused as refusal:
            self.refused = refusal
        except FileNotFoundError:
            self.add_error(None, "The file of this photo is missing. Take the shades anew.")
        return self.cleaned_data

    @property
    def was_seen(self) -> bool:
        """Whether what the marks read now is what she was shown."""
        return self.read is not None and self.cleaned_data.get("seen") == self.read.fingerprint

    def keep(self, *, by: User, at: datetime) -> int | None:
        """Keep what was read and say how many shades; or put the reason on the form and return None."""
        if self.read is None:
            return None
        read = {one.shade: one for one in self.read.shades}
        try:
            return len(keep_shade_readings(photo=self.photo, read=read, by=by, at=at))
        except ValidationError as refusal:
            self.add_error(None, refusal)
            return None
