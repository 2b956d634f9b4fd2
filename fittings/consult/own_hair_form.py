"""Asks what her own hair is like, and for its colour at roots, mid-length and ends.

A colour is either typed from an instrument or chosen by eye from the ring of measured shades; the reading is then the
shade's own value at that zone, on that value's scale, with a larger doubt. A reading that was not touched stays as it
was taken, also when the shade it was read against has been measured anew or has left the ring. One from a photo is read
on a page of its own (`photo_views`); here it stays as it is until it is taken back.
"""

from __future__ import annotations

from datetime import date
from functools import cached_property
from typing import Any, NamedTuple

from crispy_forms.layout import Div, Layout
from django import forms
from django.core.exceptions import ValidationError

from clients.assessing import OWN_HAIR, ReadingTaken, save_own_hair
from clients.models import Assessment, ColourReading
from clients.models.assessment import CurlPattern, HairCondition, Thickness, YesNo
from fittings.consult.fields import ChoiceField, Pills
from fittings.consult.shade_ring import RingShade, shade_ring
from fittings.consult.step_form import StepForm
from fittings.models import HouseRule
from salon.colour.lab import css_hex
from salon.common.form_fields import LengthField, WholeField, unchanged
from salon.models import User

ZONES = ColourReading.Zone
STRANDS = ColourReading.Strand
AXES = ("l", "a", "b")
AS_IT_WAS = "kept"  # the choice that stands for a reading by eye whose shade is no longer in the ring
LIGHTS = ("Daylight at a window", "Daylight lamp", "Warm lamp", "Light of the chair")


class RingChoice(NamedTuple):
    """One shade at one zone, as a button of the ring."""

    zone: str
    value: str
    swatch: str
    words: str
    is_chosen: bool


class RingRow(NamedTuple):
    """One shade of the ring, to be chosen for any zone."""

    ring: RingShade
    choices: list[RingChoice]


class TakeBackField(forms.ChoiceField):
    """Names the reading that is taken back; one that is gone already is no mistake."""

    def __init__(self, label: str, reading: ColourReading | None) -> None:
        choices = [(str(reading.pk), "taken back")] if reading else []
        super().__init__(label=label, required=False, choices=choices)

    def valid_value(self, value: Any) -> bool:
        return True


class _NumberField(forms.FloatField):
    """A number with a decimal point or a comma, and with a minus as instruments print it."""

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".").replace("−", "-") if isinstance(value, str) else value)


def _number(label: str, low: float, high: float) -> forms.FloatField:
    sentence = f"Write a number from {low:g} to {high:g}."
    return _NumberField(
        label=label,
        required=False,
        min_value=low,
        max_value=high,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), sentence),
        widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off", "size": 6}),
    )


class OwnHairForm(StepForm):
    """Fields of the assessment; of each zone `<zone>_l`, `_a`, `_b`, `_doubt` and `ring_<zone>`, `take_back_<zone>`."""

    fields_of_assessment = OWN_HAIR

    own_hair_length_mm = LengthField(label="Length", low_mm=0, high_mm=1500, noun="her hair's length", whole_mm=True)
    curl_pattern = ChoiceField(label="Curl pattern", choices=CurlPattern.choices, unasked="Not looked at")
    thickness = ChoiceField(label="Thickness", choices=Thickness.choices, unasked="Not looked at")
    hair_condition = ChoiceField(label="Condition", choices=HairCondition.choices, unasked="Not looked at")
    grey_percent = WholeField(label="Grey, by eye (%)", low=0, high=100)
    hair_behind_ears = ChoiceField(label="Own hair behind the ears", choices=YesNo.choices, unasked="Not looked at")
    light = ChoiceField(label="Read by eye under", choices=[(light, light) for light in LIGHTS], unasked="Not said")

    def __init__(self, data: Any = None, *, assessment: Assessment, **kwargs: Any) -> None:
        super().__init__(data, assessment=assessment, **kwargs)
        self.taken = {reading.zone: reading for reading in assessment.readings.select_related("photo")}
        by_eye = [reading for reading in self.taken.values() if reading.method == ColourReading.Method.BY_EYE]
        self.initial["light"] = by_eye[0].light if by_eye else ""
        for zone in ZONES:
            for axis, label, low, high in (("l", "L*", 0, 100), ("a", "a*", -128, 128), ("b", "b*", -128, 128)):
                self.fields[f"{zone}_{axis}"] = _number(label, low, high)
            self.fields[f"{zone}_doubt"] = _number("Doubt", 0, 50)
            self.fields[f"ring_{zone}"] = ChoiceField(
                label=f"{zone.label}, by eye",
                choices=[(str(one.shade.pk), one.label) for one in self.ring] + [(AS_IT_WAS, "As it was read")],
                unasked="Not read by eye",
            )
            self.initial.update(self._initial_of(zone))
        for zone in (*ZONES, *STRANDS):
            self.fields[f"take_back_{zone}"] = TakeBackField(f"{zone.label}, from a photo", self._by_photo(zone))
        self.helper.layout = Layout(
            Div(
                Div("own_hair_length_mm", "grey_percent", css_class="row"),
                Pills("curl_pattern"),
                Pills("thickness"),
                Pills("hair_condition"),
                Pills("hair_behind_ears"),
                css_class="card",
            )
        )

    @cached_property
    def usual_doubt(self) -> dict[str, float]:
        """The salon's own doubt of a reading (ΔE00) by how it was taken; `by_eye` and `instrument`."""
        numbers = HouseRule.objects.current()
        return {how: numbers[f"{how}_doubt"] for how in ("by_eye", "instrument")}

    @cached_property
    def ring(self) -> list[RingShade]:
        return shade_ring()

    @property
    def by_photo(self) -> list[ColourReading]:
        """What photos read of her hair: the zones from the roots down, then single strands."""
        return [reading for zone in (*ZONES, *STRANDS) if (reading := self._by_photo(zone))]

    @property
    def ring_rows(self) -> list[RingRow]:
        return [RingRow(one, [self._ring_choice(one, zone) for zone in ZONES]) for one in self.ring]

    @property
    def ring_beside_shades(self) -> list[RingChoice]:
        """The choices that are no shade: not read, and, where its shade has gone, as it was read."""
        beside = []
        for zone in ZONES:
            chosen = self._ring_value(zone)
            beside.append(RingChoice(zone.value, "", "", f"{zone.label}: not read by eye", chosen == ""))
            if self.initial[f"ring_{zone}"] == AS_IT_WAS:
                old = self.taken[zone.value]
                words = f"{zone.label} as {old.shade_label or 'it was read'}, no longer in the ring"
                beside.append(RingChoice(zone.value, AS_IT_WAS, css_hex(old.lab), words, chosen == AS_IT_WAS))
        return beside

    @property
    def ring_fields(self) -> list[forms.BoundField]:
        return [self[f"ring_{zone}"] for zone in ZONES]

    @property
    def instrument_rows(self) -> list[tuple[str, str, list[forms.BoundField]]]:
        """(zone, its name, its four fields)."""
        return [(zone.value, zone.label, [self[f"{zone}_{part}"] for part in (*AXES, "doubt")]) for zone in ZONES]

    def clean(self) -> dict[str, Any]:
        super().clean()
        self.readings: dict[str, ReadingTaken | None] = {
            zone.value: None for zone in (*ZONES, *STRANDS) if self._is_taken_back(zone)
        }
        for zone in ZONES:
            if self._untouched(zone) or any(name in self.errors for name in self._parts(zone)):
                continue
            try:
                self.readings[zone.value] = self._read(zone)
            except ValidationError as refusal:
                self.add_error(f"{zone}_l", refusal)
        return self.cleaned_data

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        return save_own_hair(
            assessment=self.assessment, revision=revision, by=by, readings=self.readings, **self.answers
        )

    def label_of(self, name: str) -> str:
        if name.startswith("take_back_"):
            return str(self.fields[name].label)
        zone, _, part = name.partition("_")
        if part in (*AXES, "doubt") and zone in ZONES.values:
            return f"{ZONES(zone).label}: {super().label_of(name)}"
        return super().label_of(name)

    def _initial_of(self, zone: ColourReading.Zone) -> dict[str, Any]:
        taken = self.taken.get(zone.value)
        if taken is None:
            return {f"ring_{zone}": ""}
        if taken.method == ColourReading.Method.INSTRUMENT:
            values = {f"{zone}_{axis}": f"{value:g}" for axis, value in zip(AXES, taken.lab, strict=True)}
            return values | {f"{zone}_doubt": f"{taken.doubt:g}", f"ring_{zone}": ""}
        if taken.method in ColourReading.BY_PHOTO:
            return {f"ring_{zone}": ""}
        found = (str(one.shade.pk) for one in self.ring if one.label == taken.shade_label)
        return {f"ring_{zone}": next(found, AS_IT_WAS)}

    def _by_photo(self, zone: str) -> ColourReading | None:
        taken = self.taken.get(zone)
        return taken if taken and taken.method in ColourReading.BY_PHOTO else None

    def _is_taken_back(self, zone: str) -> bool:
        by_photo = self._by_photo(zone)
        return by_photo is not None and self.cleaned_data.get(f"take_back_{zone}") == str(by_photo.pk)

    def _ring_choice(self, one: RingShade, zone: ColourReading.Zone) -> RingChoice:
        value = str(one.shade.pk)
        words = f"{zone.label} as {one.label}"
        return RingChoice(zone.value, value, css_hex(one.lab[zone.value]), words, self._ring_value(zone) == value)

    def _parts(self, zone: ColourReading.Zone) -> list[str]:
        by_eye = self.taken.get(zone.value)
        light = ["light"] if by_eye and by_eye.method == ColourReading.Method.BY_EYE else []
        return [*(f"{zone}_{part}" for part in (*AXES, "doubt")), f"ring_{zone}", *light]

    def _untouched(self, zone: ColourReading.Zone) -> bool:
        return all(
            unchanged(self.fields[name], self.initial.get(name), self.data.get(name)) for name in self._parts(zone)
        )

    def _read(self, zone: ColourReading.Zone) -> ReadingTaken | None:
        """The reading as typed or chosen; None for neither."""
        if self._by_photo(zone) and not self._is_taken_back(zone):
            raise ValidationError(f"{zone.label}: read from a photo already. Take that reading back first, or keep it.")
        chosen = self.cleaned_data.get(f"ring_{zone}", "")
        if any(self.cleaned_data.get(f"{zone}_{part}") is not None for part in (*AXES, "doubt")):
            if chosen:
                raise ValidationError(f"{zone.label}: typed from an instrument and chosen from the ring. Keep one.")
            return self._by_instrument(zone)
        return self._by_eye(zone, chosen) if chosen else None

    def _by_instrument(self, zone: ColourReading.Zone) -> ReadingTaken:
        numbers = [self.cleaned_data.get(f"{zone}_{axis}") for axis in AXES]
        missing = [sign for sign, number in zip(("L*", "a*", "b*"), numbers, strict=True) if number is None]
        if missing:
            raise ValidationError(f"{zone.label}: {' and '.join(missing)} still to come; a reading has all three.")
        lightness, a_star, b_star = (float(number) for number in numbers if number is not None)
        doubt = self.cleaned_data.get(f"{zone}_doubt")
        doubt = self.usual_doubt["instrument"] if doubt is None else float(doubt)
        return ReadingTaken(ColourReading.Method.INSTRUMENT, (lightness, a_star, b_star), doubt)

    def _by_eye(self, zone: ColourReading.Zone, chosen: str) -> ReadingTaken:
        light = self.cleaned_data.get("light", "")
        old = self.taken.get(zone.value)
        if old is not None and chosen == self.initial[f"ring_{zone}"]:  # read before; only the light is said anew
            return ReadingTaken(ColourReading.Method.BY_EYE, old.lab, old.doubt, light, old.shade_label, old.scale)
        if chosen == AS_IT_WAS:
            raise ValidationError(f"{zone.label}: nothing was read before. Choose a shade of the ring.")
        one = next(one for one in self.ring if str(one.shade.pk) == chosen)
        doubt = self.usual_doubt["by_eye"]
        return ReadingTaken(ColourReading.Method.BY_EYE, one.lab[zone.value], doubt, light, one.label, one.scale)

    def _ring_value(self, zone: ColourReading.Zone) -> str:
        value = self[f"ring_{zone}"].value()
        return "" if value is None else str(value)
