"""Asks for the loss map: painted on the turning head, or typed as percent remaining of nine zones, or both; and for
the stage of a published scale by which the stylist names what she sees.

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
from clients.scalp.scales import SCALES
from fittings.consult.naming_pattern import (
    SuggestionShown,
    named_before,
    naming_field,
    parts_of,
    scales_shown,
    suggestions_shown,
    value_of,
)
from fittings.consult.step_form import StepForm
from salon.common.form_fields import WholeField, unchanged
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
    """Every pattern start on this head as JSON: {key: {label, hex, group}}, in the order of the scales' stages."""
    labels = {pattern.key: pattern.label for pattern in PATTERNS}
    shapes = [
        (stage.pattern, scale.label, f"{stage.name}: {labels[stage.pattern].lower()}")
        for scale in SCALES
        for stage in scale.stages
        if stage.pattern
    ]
    in_a_scale = {key for key, _, _ in shapes}
    shapes += [(key, "Of no scale", label) for key, label in labels.items() if key not in in_a_scale]
    return json.dumps(
        {
            key: {"label": label, "hex": pattern_start(key, head).to_hex(), "group": group}
            for key, group, label in shapes
        }
    )


class MapForm(StepForm):
    """One hidden map, nine numbers `zone_<key>`, and `named`, a stage of a scale.

    What a page did not send stays as it is stored: a name alone may come back from what a browser kept of its form.
    """

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
        self.fields["named"] = naming_field()
        self.initial["named"] = value_of(assessment.scale, assessment.stage)
        if self.is_bound:
            sent = data.copy()
            for name in ("density_hex", "named", *(f"zone_{zone.key}" for zone in ZONES)):
                sent.setdefault(name, str(self._stored(name)))
            self.data = sent

    @property
    def zone_fields(self) -> list[forms.BoundField]:
        return [self[f"zone_{zone.key}"] for zone in ZONES]

    @property
    def salt(self) -> SaltScore:
        """The share of her hair that is lost, on the stored map."""
        return salt_score(self.loss_map, self.head)

    @property
    def suggestions(self) -> list[SuggestionShown]:
        """What the stored map suggests of each scale."""
        return suggestions_shown(self.loss_map, self.head, self.unit)

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
        scale, stage = parts_of(self.cleaned_data["named"])
        return save_map(
            assessment=self.assessment,
            revision=revision,
            by=by,
            density_hex=self.cleaned_data["density_hex"],
            scale=scale,
            stage=stage,
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
        "scales": scales_shown(str(form["named"].value())),
        "named_before": named_before(form.assessment),
        "chart": draw_flat_map(form.loss_map, form.head, title="Loss map: percent of hair remaining by zone", size=420),
    }
