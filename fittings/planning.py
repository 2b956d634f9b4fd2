"""Plans a service for a piece or for her own hair, once the rules have been asked: the only writer of Service."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from fittings.candidates import Ground, facts_of, ground_of, match_of, rule_book, with_all_that_is_read
from fittings.house_numbers import placement_rules
from fittings.keeping_findings import kept_findings
from fittings.models import Candidate, Fitting, Service
from fittings.passing_stops import must_be_let_pass, record_passes
from fittings.placement.clip_zones import zones_under_clips
from fittings.placement.placing import place
from fittings.rules.engine import NOTHING_PLANNED, Finding, Plan
from fittings.rules.rule import About
from pieces.models import Variant
from salon.models import Salon, User

ABOUT_SERVICE: tuple[About, ...] = ("service",)


def findings_about_service(
    *, fitting: Fitting, candidate: Candidate | None, facts: Mapping[str, object], salon: Salon, at: datetime, on: date
) -> tuple[Finding, ...]:
    """What the rules say about this plan today. Facts carry the names of `rules.facts`; PlanError for a wrong one."""
    ground = ground_of(_assessed(fitting), salon, at=at, on=on)
    known = {**ground.facts, **_piece_in_place(ground, candidate), **NOTHING_PLANNED, **facts}
    return rule_book().check(Plan(known), ground.numbers, on=on, about=ABOUT_SERVICE, units=ground.units)


@transaction.atomic
def plan_service(
    *,
    fitting: Fitting,
    kind: str,
    facts: Mapping[str, Any],
    salon: Salon,
    by: User,
    at: datetime,
    on: date,
    candidate: Candidate | None = None,
    note: str = "",
    price_minor: int = 0,
    acknowledged: Collection[str] = (),
    owner: User | None = None,
    reasons: Mapping[str, str] | None = None,
) -> Service:
    """Plan one service. `acknowledged`: ids of the cautions that were read; `owner` and `reasons` let stops pass.

    Raises ValidationError, one sentence a reason: the visit is finished, a fact is missing, a rule stops it, or a
    caution has not been acknowledged.
    """
    fitting = Fitting.objects.select_for_update(of=("self",)).select_related("assessment__client").get(pk=fitting.pk)
    if fitting.is_finished:
        raise ValidationError("This visit is finished; plan it in the next one.")
    if candidate is not None and candidate.fitting_id != fitting.pk:
        raise ValidationError("This piece was chosen in another visit.")
    findings = findings_about_service(fitting=fitting, candidate=candidate, facts=facts, salon=salon, at=at, on=on)
    kept = kept_findings(findings)
    reasons = reasons or {}
    stops = must_be_let_pass([one for one in kept if one["severity"] == "stop"], owner=owner, reasons=reasons)
    unread = [one for one in kept if one["severity"] == "caution" and one["rule_id"] not in acknowledged]
    if unread:
        raise ValidationError([f"Read and tick first: {one['says']}" for one in unread])
    service = Service(
        fitting=fitting,
        candidate=candidate,
        kind=kind,
        facts=dict(facts),
        note=note,
        price_minor=price_minor,
        findings=kept,
        planned_by=by,
    )
    service.full_clean()
    service.save()
    record_passes(stops, fitting=fitting, service=service, owner=owner, reasons=reasons)
    return service


@transaction.atomic
def remove_service(*, service: Service) -> None:
    """Take a planned service away while the visit is open, with the passes that were given for it."""
    if service.fitting.is_finished:
        raise ValidationError("This visit is finished; what was planned in it stands.")
    service.overrides.all().delete()
    service.delete()


def _assessed(fitting: Fitting) -> Any:
    if fitting.assessment is None or fitting.assessment.is_draft:
        raise ValidationError("Sign the assessment off first; the rules read what it says.")
    return fitting.assessment


def _piece_in_place(ground: Ground, candidate: Candidate | None) -> dict[str, object]:
    """What is known of the piece in the place it was chosen for; nothing when the service is on her own hair."""
    if candidate is None:
        return {}
    variant = with_all_that_is_read(Variant.objects.filter(pk=candidate.variant_id)).get()
    shape = variant.piece.base.shape()
    placement = place(
        ground.head,
        ground.loss_map,
        shape.outline,
        set_back_mm=candidate.set_back_mm,
        side_shift_mm=candidate.side_shift_mm,
        turned=candidate.turned,
        clips=shape.clips,
        tape_areas=shape.tape_areas,
        front_edge=shape.front_edge,
        house_rules=placement_rules(ground.numbers),
    )
    match = match_of(ground, placement, [variant])[0]
    zones = zones_under_clips(ground.head, shape, placement)
    return facts_of(ground, variant.piece, float(variant.length_mm), placement, match, clip_zones=zones, smaller=False)
