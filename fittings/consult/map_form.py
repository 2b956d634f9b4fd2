"""Asks for the loss map: painted on the turning head, or typed as percent remaining of nine zones, or both.

The table is a whole way of its own, without dragging and without a script. A number that was changed there fills its
zone evenly; a zone that was left alone keeps what was painted in it.
"""

from __future__ import annotations

import json
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np
from django import forms
from django.core.exceptions import ValidationError

from clients.assessing import save_map
from clients.models import Assessment
from clients.scalp.drawing import draw_flat_map
from clients.scalp.head import Head, TapesError
from clients.scalp.loss_map import LossMap, LossMapError
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.regions import ZONE_OF_CELL, ZONES, loss_map_from_zones, zone_means
from clients.scalp.salt import SaltScore, salt_score
from fittings.consult.fields import WholeField, unchanged
from fittings.consult.step_form import StepForm
from salon.models import User

ZONE_TEXT = "".join("." if zone < 0 else str(zone) for zone in ZONE_OF_CELL.ravel())
"""The zone of each cell as the turning head reads it: one character a cell, a dot outside the disk."""


def head_of(assessment: Assessment) -> Head:
    """Her head from the tapes taken; the average head for tapes that were stored before they could be refused."""
    try:
        return Head.from_tapes(**assessment.tapes())
    except TapesError:
        return Head.from_tapes()


@lru_cache(maxsize=32)
def pattern_starts(head: Head) -> str:
    """Every pattern start on this head as JSON: {key: {label, hex}}."""
    starts = {
        pattern.key: {"label": pattern.label, "hex": pattern_start(pattern.key, head).to_hex()} for pattern in PATTERNS
    }
    return json.dumps(starts)


class MapForm(StepForm):
    """One hidden map and nine numbers, `zone_<key>`."""

    fields_of_assessment = ("density_hex",)
    density_hex = forms.CharField(
        max_length=10_000,
        strip=True,
        widget=forms.HiddenInput,
        error_messages={
            "required": "The map did not come with the page. Load it again; your strokes are kept on this device.",
            "max_length": "This map can't be read: it is longer than a map is.",
        },
    )

    def __init__(self, data: Any = None, *, assessment: Assessment, **kwargs: Any) -> None:
        super().__init__(data, assessment=assessment, **kwargs)
        self.head = head_of(assessment)
        self.loss_map = LossMap.from_hex(assessment.density_hex)
        means = zone_means(self.loss_map, self.head)
        for zone in ZONES:
            name = f"zone_{zone.key}"
            self.fields[name] = WholeField(label=zone.label, low=0, high=100)
            self.fields[name].widget = forms.NumberInput(
                attrs={"min": 0, "max": 100, "step": 1, "inputmode": "numeric"}
            )
            self.initial[name] = round(means[zone.key])

    @property
    def zone_fields(self) -> list[forms.BoundField]:
        return [self[f"zone_{zone.key}"] for zone in ZONES]

    @property
    def salt(self) -> SaltScore:
        """The share of her hair that is lost, on the stored map."""
        return salt_score(self.loss_map, self.head)

    def clean_density_hex(self) -> str:
        try:
            return LossMap.from_hex(self.cleaned_data["density_hex"]).to_hex()
        except LossMapError as refusal:
            raise ValidationError(f"This map can't be read. {refusal}") from refusal

    def clean(self) -> dict[str, Any]:
        """Numbers typed in the table count when nothing was painted: the turning head writes its strokes in both."""
        cleaned = super().clean()
        typed = {zone.key: self._typed(zone.key) for zone in ZONES}
        changed = {key: number for key, number in typed.items() if number is not None}
        if self.errors or not changed or cleaned.get("density_hex") != self.assessment.density_hex:
            return cleaned
        means = zone_means(self.loss_map, self.head)
        filled = loss_map_from_zones(means | changed)
        touched = [index for index, zone in enumerate(ZONES) if zone.key in changed]
        density = np.where(np.isin(ZONE_OF_CELL, touched), filled.density, self.loss_map.density)
        cleaned["density_hex"] = LossMap(density).to_hex()
        return cleaned

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        return save_map(
            assessment=self.assessment, revision=revision, by=by, density_hex=self.cleaned_data["density_hex"]
        )

    def label_of(self, name: str) -> str:
        return "Painted map" if name == "density_hex" else super().label_of(name)

    def _typed(self, key: str) -> int | None:
        """The number typed for a zone, when it is another than the one shown."""
        name = f"zone_{key}"
        if unchanged(self.fields[name], self.initial[name], self.data.get(name)):
            return None
        number: int | None = self.cleaned_data.get(name)
        return number


def shown_on_the_head(form: StepForm) -> dict[str, Any]:
    """What the turning head needs of the server, and the flat drawing it takes the place of."""
    assert isinstance(form, MapForm)  # noqa: S101  # the page of this step has no other form
    return {
        "axes": ",".join(f"{axis:.4f}" for axis in form.head.semi_axes_mm),
        "head_assumed": " ".join(form.head.assumed),
        "zone_text": ZONE_TEXT,
        "patterns": pattern_starts(form.head),
        "chart": draw_flat_map(form.loss_map, form.head, title="Loss map: percent of hair remaining by zone", size=420),
    }
