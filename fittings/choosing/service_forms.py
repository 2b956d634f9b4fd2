"""Asks for one planned service; every answer carries the name of the fact it is to the rules. Empty means not known."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from clients.models.assessment import YesNo
from clients.models.health import Substance
from fittings.choosing.forms import RefusableForm
from fittings.choosing.owner_beside import OwnerBeside
from fittings.consult.fields import ChoiceField, MoneyField, TickField
from fittings.keeping_findings import kept_findings
from fittings.models import Candidate, Fitting, Service
from fittings.planning import findings_about_service, plan_service
from fittings.rules.engine import Finding, PlanError
from fittings.rules.facts import FIXINGS, HEAT
from salon.common.temperatures import parse_temperature_c
from salon.current import reader_units
from salon.models import Units, User

NOT_KNOWN = "Not known yet"


class TemperatureField(forms.CharField):
    """A tool's temperature in the reader's unit, or with °C or °F typed; cleans to °C, None when empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=20, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.units = Units.METRIC

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            celsius = parse_temperature_c(typed, "F" if self.units == Units.IMPERIAL else "C")
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal
        if not 20 <= celsius <= 300:
            raise ValidationError(
                f"“{typed}” can't be a tool's temperature; it lies between 20 and 300 °C (68 and 572 °F)."
            )
        return round(celsius, 1)


def _asked_yes_no(label: str) -> ChoiceField:
    return ChoiceField(label=label, choices=YesNo.choices, unasked=NOT_KNOWN)


class ServiceForm(OwnerBeside, RefusableForm):
    """What every service is asked; a kind adds its own facts and says which are fixed by the kind itself."""

    kind: ClassVar[Service.Kind]
    fact_fields: ClassVar[tuple[str, ...]] = ()
    needs_piece: ClassVar[bool] = True
    given: ClassVar[Mapping[str, object]] = {}

    candidate = forms.ModelChoiceField(
        label="On which piece",
        queryset=Candidate.objects.none(),
        required=False,
        empty_label="Her own hair, or no piece",
    )
    note = forms.CharField(
        required=False, max_length=240, help_text="Printed with the price on her summary; she reads it."
    )
    price_minor = MoneyField(label="Price", help_text="Nothing, or 0: her summary says “included”.")

    def __init__(self, data: Any = None, *, fitting: Fitting, request: Any, at: datetime, on: date) -> None:
        super().__init__(data, request=request)
        self.fitting, self.at, self.on = fitting, at, on
        self.fields["candidate"].queryset = fitting.candidates.all()  # type: ignore[attr-defined]  # a ModelChoiceField
        self.fields["candidate"].label_from_instance = lambda one: one.name  # type: ignore[attr-defined]  # as above
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.currency = request.salon.currency
            if isinstance(field, TemperatureField):
                field.units = reader_units(request.user, request.salon)
        self.order_fields(["candidate", *self.fact_fields, "note", "price_minor"])
        self.findings: tuple[Finding, ...] = ()
        self.acknowledged = set(self.data.getlist("acknowledged")) if hasattr(self.data, "getlist") else set()

    @property
    def asked(self) -> list[forms.BoundField]:
        """The service's own questions, in order, without what an owner is asked."""
        return [self[name] for name in ("candidate", *self.fact_fields, "note", "price_minor")]

    def clean(self) -> dict[str, Any]:
        """Ask the rules as soon as the answers can be read, so that the page warns before anything is kept."""
        cleaned = super().clean() or self.cleaned_data
        if self.needs_piece and not cleaned.get("candidate") and "candidate" not in self.errors:
            self.add_error("candidate", "Choose the piece this is done to; pieces come from those chosen to try.")
        if self.errors:
            return cleaned
        try:
            self.findings = findings_about_service(
                fitting=self.fitting,
                candidate=cleaned.get("candidate"),
                facts=self.facts(),
                salon=self.request.salon,
                at=self.at,
                on=self.on,
            )
        except (ValidationError, PlanError) as refusal:
            self.add_error(None, ValidationError(getattr(refusal, "messages", [str(refusal)])))
            return cleaned
        self.ask_owner_about(kept_findings(one for one in self.findings if one.severity == "stop"))
        for name in list(self.fields):
            if name.startswith(("reason_", "owner_")):  # added just now: read them as the others were read
                try:
                    cleaned[name] = self.fields[name].clean(self.data.get(name, ""))
                except ValidationError as refusal:
                    self.add_error(name, refusal)
        return cleaned

    def facts(self) -> dict[str, Any]:
        """The answers under the rules' names; what was left empty is unknown and left out."""
        answers = {name: self.cleaned_data.get(name) for name in self.fact_fields}
        return {**self.given, **{name: answer for name, answer in answers.items() if answer not in (None, "", [])}}

    def plan(self, *, by: User) -> Service | None:
        """Keep it, or put the reasons on the form and return None."""
        try:
            owner, reasons = self.owner_and_reasons()
            return plan_service(
                fitting=self.fitting,
                kind=self.kind,
                candidate=self.cleaned_data["candidate"],
                facts=self.facts(),
                note=self.cleaned_data["note"],
                price_minor=self.cleaned_data["price_minor"] or 0,
                salon=self.request.salon,
                by=by,
                at=self.at,
                on=self.on,
                acknowledged=self.acknowledged,
                owner=owner,
                reasons=reasons,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class CutInForm(ServiceForm):
    kind = Service.Kind.CUT_IN


class WashForm(ServiceForm):
    kind = Service.Kind.WASH


class HeatForm(ServiceForm):
    kind = Service.Kind.HEAT
    fact_fields = ("planned_heat", "tool_c", "hair_is_wet", "near_base", "flammable_remover_wet", "unit_coloured")

    planned_heat = ChoiceField(
        label="Tool", choices=[(key, word.capitalize()) for key, word in HEAT.items()], unasked=NOT_KNOWN
    )
    tool_c = TemperatureField(label="Set to", help_text="What the tool itself shows.")
    hair_is_wet = _asked_yes_no("Hair wet or damp")
    near_base = _asked_yes_no("Close to knots, lace, polyurethane or tape")
    flammable_remover_wet = _asked_yes_no("A remover or cleaner still wet on it")
    unit_coloured = _asked_yes_no("This piece was coloured or lightened before")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_heat"):
            self.add_error("planned_heat", "Choose the tool; without heat there is nothing to plan here.")
        return cleaned


class SteamForm(ServiceForm):
    kind = Service.Kind.STEAM
    given = {"planned_steam": True}


class ColourForm(ServiceForm):
    kind = Service.Kind.COLOUR
    needs_piece = False
    fact_fields = (
        "planned_colour",
        "colour_on",
        "colour_touches_base",
        "colour_touches_skin",
        "unit_strand_test",
        "unit_coloured",
        "unit_lightened_before",
    )

    planned_colour = ChoiceField(
        label="What",
        choices=[("deposit", "Deposit-only colour"), ("oxidative", "Oxidative colour"), ("lightener", "Lightener")],
        unasked=NOT_KNOWN,
    )
    colour_on = ChoiceField(
        label="On what",
        choices=[
            ("piece detached", "The piece, off the head"),
            ("piece worn", "The piece, worn"),
            ("own hair", "Her own hair"),
        ],
        unasked=NOT_KNOWN,
    )
    colour_touches_base = _asked_yes_no("It will touch knots, lace or polyurethane")
    colour_touches_skin = _asked_yes_no("It will touch her skin")
    unit_strand_test = _asked_yes_no("A strand of this very piece was tested")
    unit_coloured = _asked_yes_no("This piece was coloured before")
    unit_lightened_before = _asked_yes_no("This piece was lightened before")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_colour"):
            self.add_error("planned_colour", "Choose what is planned.")
        if str(cleaned.get("colour_on", "")).startswith("piece") and not cleaned.get("candidate"):
            self.add_error("candidate", "Choose the piece that is coloured.")
        return cleaned


class FixingForm(ServiceForm):
    kind = Service.Kind.FIXING
    fact_fields = ("planned_fixing", "adhesive_contains")

    planned_fixing = TickField(
        label="How it is fixed", choices=[(key, word.capitalize()) for key, word in FIXINGS.items()]
    )
    adhesive_contains = TickField(
        label="Tape or adhesive contains, by its label",
        choices=[
            (Substance.ACRYLATE, "Acrylate"),
            (Substance.LATEX, "Latex"),
            (Substance.ROSIN, "Rosin"),
        ],
    )
    label_read = forms.BooleanField(
        label="I have read the label; nothing of these is in it",
        required=False,
        help_text="Tick only when none applies.",
    )

    @property
    def asked(self) -> list[forms.BoundField]:
        return [*super().asked[:3], self["label_read"], *super().asked[3:]]

    def facts(self) -> dict[str, Any]:
        facts = super().facts()
        if self.cleaned_data.get("label_read") and "adhesive_contains" not in facts:
            facts["adhesive_contains"] = []  # known to hold none, which is not the same as not known
        return facts

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_fixing"):
            self.add_error("planned_fixing", "Tick how it is fixed.")
        return cleaned


SERVICE_FORMS: Mapping[str, type[ServiceForm]] = {
    form.kind.value: form for form in (CutInForm, HeatForm, SteamForm, ColourForm, FixingForm, WashForm)
}
