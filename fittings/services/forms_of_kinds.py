"""What each kind of service asks. Colour and tone, and what fixes a piece to the head, have modules of their own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from fittings.consult.fields import ChoiceField
from fittings.models import Service
from fittings.rules.facts import HEAT
from fittings.services.colour_forms import ColourForm, ToneForm
from fittings.services.details import CUT_WORDS, REPAIR_WORDS
from fittings.services.fields import (
    NOT_KNOWN,
    TemperatureField,
    asked_yes_no,
    product_field,
    text_field,
    ticks,
    zones_field,
)
from fittings.services.fixing_forms import ClipsForm, FixingForm, TapeForm
from fittings.services.service_form import ServiceForm
from salon.common.form_fields import LengthField, WholeField


class CutInForm(ServiceForm):
    kind = Service.Kind.CUT_IN
    detail_fields = ("cut", "taken_off_mm", "zones")

    cut = ticks("What was done", CUT_WORDS)
    taken_off_mm = LengthField(low_mm=0, high_mm=1000, noun="a length taken off", label="Taken off")
    zones = zones_field()


class WashForm(ServiceForm):
    kind = Service.Kind.WASH
    detail_fields = ("deep_care", "product", "conditioner")

    deep_care = forms.BooleanField(label="With deep care", required=False)
    product = product_field("Washed with")
    conditioner = product_field("Conditioner or mask")


class HeatForm(ServiceForm):
    kind = Service.Kind.HEAT
    fact_fields = ("planned_heat", "tool_c", "hair_is_wet", "near_base", "flammable_remover_wet", "unit_coloured")
    detail_fields = ("passes", "zones")

    planned_heat = ChoiceField(
        label="Tool", choices=[(key, word.capitalize()) for key, word in HEAT.items()], unasked=NOT_KNOWN
    )
    tool_c = TemperatureField(label="Set to", help_text="What the tool itself shows.")
    hair_is_wet = asked_yes_no("Hair wet or damp")
    near_base = asked_yes_no("Close to knots, lace, polyurethane or tape")
    flammable_remover_wet = asked_yes_no("A remover or cleaner still wet on it")
    unit_coloured = asked_yes_no("Coloured or lightened before")
    passes = WholeField(label="Passes over a strand", low=1, high=50)
    zones = zones_field()

    def facts(self) -> dict[str, Any]:
        """Her own hair is human hair; of a piece its maker says what it is."""
        hers = self.target is not None and not self.target.is_piece
        return super().facts() | ({"fibre": "human"} if hers else {})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_heat"):
            self.add_error("planned_heat", "Choose the tool; without heat there is nothing to keep here.")
        return cleaned


class SteamForm(ServiceForm):
    kind = Service.Kind.STEAM
    given = {"planned_steam": True}
    detail_fields = ("minutes", "zones")

    minutes = WholeField(label="Minutes", low=0, high=300)
    zones = zones_field()


class RepairForm(ServiceForm):
    kind = Service.Kind.REPAIR
    detail_fields = ("repaired", "words", "done_by")
    own_hair = False

    repaired = ticks("What was repaired", REPAIR_WORDS)
    words = text_field("In words", 240)
    done_by = text_field("Who did it", 120, help_text="Empty: you.")

    def read_details(self) -> dict[str, Any]:
        return {"done_by": str(self.request.user)} | super().read_details()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.plans and not cleaned.get("repaired") and not cleaned.get("words"):
            self.add_error("repaired", "Tick what was repaired, or write it.")
        return cleaned


SERVICE_FORMS: Mapping[str, type[ServiceForm]] = {
    form.kind.value: form
    for form in (
        CutInForm,
        ColourForm,
        ToneForm,
        SteamForm,
        HeatForm,
        WashForm,
        RepairForm,
        FixingForm,
        TapeForm,
        ClipsForm,
    )
}
PLANNED_KINDS = ("cut-in", "heat", "steam", "colour", "tone", "fixing", "wash", "repair")
LOGGED_KINDS = tuple(kind for kind in SERVICE_FORMS if kind != Service.Kind.FIXING)
