"""What every service is asked: to what it is done, what the rules must know, what else is recorded, its price.

One form plans a service, logs one that was done, says how a planned one turned out, and corrects one. The rules are
asked as soon as their facts can be read, so that the page warns before anything is kept; the deeds ask them again.
Every fact carries the name it has to the rules; empty means not known.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property

from clients.models import PhotoSet, Product
from fittings.choosing.forms import RefusableForm
from fittings.choosing.owner_beside import OwnerBeside
from fittings.keeping_findings import kept_findings
from fittings.models import Fitting, Service
from fittings.planning import findings_about_service, plan_service
from fittings.rules.engine import Finding, PlanError
from fittings.services.details import ClipMoves, Details, WrongDetails, read_details
from fittings.services.fields import TemperatureField, once_field
from fittings.services.targets import Target, target_of, targets_of
from fittings.serving import do_planned, log_service
from fittings.unit_facts import UnitKnown, known_of_unit
from salon.common.form_fields import LengthField, MoneyField
from salon.current import reader_units
from salon.models import Units, User

PHOTOS = ("photos_before", "photos_after")


class ServiceForm(OwnerBeside, RefusableForm):
    """A kind adds its facts and details, says which facts it fixes itself, and whether it is done to own hair too."""

    kind: ClassVar[Service.Kind]
    fact_fields: ClassVar[tuple[str, ...]] = ()
    detail_fields: ClassVar[tuple[str, ...]] = ()
    given: ClassVar[Mapping[str, object]] = {}
    own_hair: ClassVar[bool] = True
    asks_when_whole: ClassVar[bool] = False
    """The rules are asked only once every field can be read, for what the details say is theirs too."""
    from_record: ClassVar[Mapping[str, str]] = {"unit_coloured": "coloured", "unit_lightened_before": "lightened"}
    """Facts that are asked only where the record of the unit does not know them."""
    asked_anew: ClassVar[frozenset[str]] = frozenset(
        {"note", "hair_is_wet", "flammable_remover_wet", "unit_strand_test", "unit_coloured", "unit_lightened_before"}
    )
    """What a service that is done once more does not take over: it holds of one day only."""

    done_to = forms.ChoiceField(
        label="Done to",
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose what it is done to."),
    )
    photos_before = forms.ModelChoiceField(
        label="Photos before", queryset=PhotoSet.objects.none(), required=False, empty_label="None"
    )
    photos_after = forms.ModelChoiceField(
        label="Photos after", queryset=PhotoSet.objects.none(), required=False, empty_label="None"
    )
    note = forms.CharField(required=False, max_length=240, help_text="Printed on her papers; she reads it.")
    price_minor = MoneyField(label="Price", help_text="Nothing, or 0: her summary says “included”.")
    because = forms.CharField(label="Why it is corrected", max_length=240)
    once = once_field()

    def __init__(
        self,
        data: Any = None,
        *,
        fitting: Fitting,
        request: Any,
        at: datetime,
        on: date,
        plans: bool = False,
        service: Service | None = None,
        corrects: Service | None = None,
        piece: str = "",
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        """plans: the service is still to come. service: the planned one that is done now. piece: what it is done to,
        as `Target.key`, where the page knows. initial: what a past service fills in."""
        super().__init__(data, request=request, initial=dict(initial or {}) | {"once": uuid.uuid4()})
        self.fitting, self.at, self.on = fitting, at, on
        self.plans, self.service, self.corrects, self.piece = plans, service, corrects, piece
        self.targets = self._targets()
        self.initial.setdefault("done_to", self._piece_at_first())
        self.fields["done_to"].choices = [(one.key, one.label) for one in self.targets]  # type: ignore[attr-defined]  # a ChoiceField
        self.units = reader_units(request.user, request.salon)
        self.prepare()
        self._leave_out()
        self._in_her_units()
        self.findings: tuple[Finding, ...] = ()
        self.details = Details()
        self.acknowledged = set(self.data.getlist("acknowledged")) if hasattr(self.data, "getlist") else set()

    def prepare(self) -> None:
        """A kind adds the fields that hang on the piece."""

    @cached_property
    def target(self) -> Target | None:
        """What it is done to, as pressed or as the page began; None while nothing is pressed."""
        key = self.data.get("done_to") if self.is_bound else self.initial.get("done_to")
        return next((one for one in self.targets if one.key == key), None)

    @cached_property
    def known(self) -> UnitKnown | None:
        """What the record knows of the very unit; None for own hair and where no unit was noted."""
        unit = self.target.unit if self.target else None
        if unit is None:
            return None
        return known_of_unit(unit, before=self.corrects.done_at if self.corrects else None, without=self.corrects)

    @property
    def asked(self) -> list[forms.BoundField]:
        """The service's own questions, in order, without what an owner is asked."""
        return [self[name] for name in self._order() if name in self.fields]

    @property
    def products(self) -> list[str]:
        """Names of what the salon uses, offered beside the fields for products."""
        if not any(field.widget.attrs.get("list") for field in self.fields.values()):
            return []
        return [product.name for product in self._products]

    def product_named(self, name: str) -> Product | None:
        return next((one for one in self._products if one.name.casefold() == name.casefold()), None)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.plans:
            try:
                self.details = read_details(self.kind, self.read_details())
            except WrongDetails as refusal:
                self.add_error(None, ValidationError(str(refusal)))
        needed = list(self.fields) if self.asks_when_whole else ["done_to", *self.fact_fields]
        if not any(name in self.errors for name in needed):
            self._ask_the_rules()
        return cleaned

    def read_details(self) -> dict[str, Any]:
        """The answers under the names of the kind's details; what was left empty is left out."""
        answers = {name: self.cleaned_data.get(name) for name in self.detail_fields}
        return {name: answer for name, answer in answers.items() if answer not in (None, "", [], False)}

    def facts(self) -> dict[str, Any]:
        """The answers under the rules' names; what was left empty is unknown and left out."""
        answers = {name: self.cleaned_data.get(name) for name in self.fact_fields}
        return {**self.given, **{name: answer for name, answer in answers.items() if answer not in (None, "", [])}}

    def plan(self, *, by: User) -> Service | None:
        """Keep the plan, or put the reasons on the form and return None."""
        try:
            return plan_service(fitting=self.fitting, kind=self.kind, **self._said(by))
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def log(self, *, by: User) -> Service | None:
        """Keep what was done, or put the reasons on the form and return None."""
        try:
            if self.service is not None:
                return do_planned(service=self.service, **self._done_said(by))
            return log_service(
                fitting=self.fitting,
                kind=self.kind,
                corrects=self.corrects,
                because=self.cleaned_data.get("because", ""),
                once=self.cleaned_data["once"],
                **self._done_said(by),
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    @classmethod
    def filled_from(cls, service: Service, details: Details) -> dict[str, Any]:
        """What a service on record gives as a start; kinds with rows say how those are spread over their fields."""
        plain = details.as_kept()
        start = {name: service.facts[name] for name in cls.fact_fields if name in service.facts}
        return start | {name: plain[name] for name in cls.detail_fields if name in plain} | {"note": service.note}

    def _said(self, by: User) -> dict[str, Any]:
        """What both a plan and a done service say."""
        owner, reasons = self.owner_and_reasons()
        assert self.target is not None  # noqa: S101  # a valid form has pressed one of its targets
        return {
            "facts": self.facts(),
            "salon": self.request.salon,
            "by": by,
            "at": self.at,
            "on": self.on,
            "candidate": self.target.candidate,
            "owned_piece": self.target.owned_piece,
            "note": self.cleaned_data["note"],
            "price_minor": self.cleaned_data["price_minor"] or 0,
            "acknowledged": self.acknowledged,
            "owner": owner,
            "reasons": reasons,
        }

    def _done_said(self, by: User) -> dict[str, Any]:
        photos = {name: self.cleaned_data.get(name) for name in PHOTOS}
        return {**self._said(by), **photos, "details": self.details.as_kept()}

    def _targets(self) -> list[Target]:
        """A correction is of the same piece; a kind that is no work on own hair does not offer it."""
        if self.corrects is not None:
            return [target_of(self.corrects)]
        return [one for one in targets_of(self.fitting) if one.is_piece or self.own_hair]

    def _piece_at_first(self) -> str:
        """The one the page knows, the one it was planned for (hers by now, perhaps), or the only one there is."""
        keys, piece = [one.key for one in self.targets], self.piece
        if self.corrects is not None:
            return keys[0]
        if piece not in keys and self.service is not None:
            piece = self._planned_for(self.service)
        pieces = [one.key for one in self.targets if one.is_piece]
        return piece if piece in keys else pieces[0] if len(pieces) == 1 else ""

    def _planned_for(self, service: Service) -> str:
        became_hers = [
            one.key
            for one in self.targets
            if one.owned_piece is not None and service.candidate_id == one.owned_piece.candidate_id is not None
        ]
        return became_hers[0] if became_hers else target_of(service).key

    def _leave_out(self) -> None:
        """What this use of the form does not ask, and what the record knows already."""
        away: set[str] = set() if self.corrects else {"because"}
        sets = self._photo_sets()
        for name in PHOTOS:
            self.fields[name].queryset = sets  # type: ignore[attr-defined]  # a ModelChoiceField
        if self.plans:
            away |= {*self.detail_fields, *PHOTOS, "once"}
        elif not sets:
            away |= set(PHOTOS)
        if self.known is not None:
            away |= {name for name, of in self.from_record.items() if getattr(self.known, of) is not None}
            away.add("unit_strand_test")
        for name in away & set(self.fields):
            del self.fields[name]

    def _photo_sets(self) -> Any:
        """Sets of photos of this visit, for whoever may see photos; none to one who may not."""
        if not self.request.user.has_perm("clients.view_photo"):
            return PhotoSet.objects.none()
        return PhotoSet.objects.filter(of_visit__fitting=self.fitting, client=self.fitting.client_id)

    def _in_her_units(self) -> None:
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.currency = self.request.salon.currency
            if isinstance(field, TemperatureField):
                field.units = self.units
            if isinstance(field, LengthField):
                field.unit = "in" if self.units == Units.IMPERIAL else "cm"

    def _order(self) -> list[str]:
        return ["done_to", *self.fact_fields, *self.detail_fields, *PHOTOS, "note", "price_minor", "because"]

    @cached_property
    def _products(self) -> list[Product]:
        return list(Product.objects.in_use())

    def _ask_the_rules(self) -> None:
        assert self.target is not None  # noqa: S101  # asked only where one of the targets is pressed
        try:
            self.findings = findings_about_service(
                fitting=self.fitting,
                candidate=self.target.candidate,
                owned_piece=self.target.owned_piece,
                facts=self.facts(),
                salon=self.request.salon,
                at=self.at,
                on=self.on,
                corrects=self.corrects,
                clips_then=self.details.clips_now if isinstance(self.details, ClipMoves) else None,
                products=self.details.on_skin,
            )
        except (ValidationError, PlanError) as refusal:
            self.add_error(None, ValidationError(getattr(refusal, "messages", [str(refusal)])))
            return
        self.ask_owner_about(kept_findings(one for one in self._not_passed() if one.severity == "stop"))
        for name in list(self.fields):
            if name.startswith(("reason_", "owner_")):  # added just now: read them as the others were read
                try:
                    self.cleaned_data[name] = self.fields[name].clean(self.data.get(name, ""))
                except ValidationError as refusal:
                    self.add_error(name, refusal)

    def _not_passed(self) -> list[Finding]:
        """Findings without the stops that an owner let pass in the same words when it was planned or first logged."""
        before = self.service or self.corrects
        passed = {(one.rule_id, one.finding) for one in before.overrides.all()} if before else set()
        return [one for one in self.findings if (one.rule_id, one.says) not in passed]
