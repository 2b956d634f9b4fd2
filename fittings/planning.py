"""Plans a service for a piece or for her own hair, once the rules have been asked.

What was done is logged by `serving`, which asks the same questions here. These two are the only writers of Service.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from clients.models import Assessment
from clients.models.health import SkinTestKind
from fittings.candidates import Ground, ground_of, rule_book, with_all_that_is_read
from fittings.house_numbers import placement_rules
from fittings.in_place import facts_in_place, placed_as_chosen
from fittings.keeping_findings import kept_findings
from fittings.models import Candidate, Fitting, Override, OwnedPiece, Service
from fittings.passing_stops import KeptFinding, must_be_let_pass, record_passes
from fittings.placement.placing import Placement
from fittings.placement.ranking import rank
from fittings.plan_facts import FRONT_MM, Facts, has_clear_test
from fittings.rules.engine import NOTHING_PLANNED, Finding, Plan
from fittings.rules.rule import About
from fittings.unit_facts import known_of_unit, unit_of
from pieces.bases.construction import BaseShape, Clip
from pieces.models import Variant
from salon.models import Salon, User

ABOUT_SERVICE: tuple[About, ...] = ("service",)
ABOUT_PLACE: tuple[About, ...] = ("placement",)
EXAMINE_FIRST = "Sign the assessment off first; the rules read what it says."


def assessment_for(fitting: Fitting) -> Assessment:
    """The visit's own once it is signed off, else her newest that is; ValidationError when there is none."""
    if fitting.assessment is not None and not fitting.assessment.is_draft:
        return fitting.assessment
    newest = Assessment.objects.signed_off().select_related("client").filter(client=fitting.client_id).first()
    if newest is None:
        raise ValidationError(EXAMINE_FIRST)
    return newest


def findings_about_service(
    *,
    fitting: Fitting,
    candidate: Candidate | None,
    facts: Mapping[str, object],
    salon: Salon,
    at: datetime,
    on: date,
    owned_piece: OwnedPiece | None = None,
    corrects: Service | None = None,
    clips_then: Iterable[Mapping[str, float]] | None = None,
    products: Collection[str] = (),
) -> tuple[Finding, ...]:
    """What the rules say about this plan today. Facts carry the names of `rules.facts`; PlanError for a wrong one.

    products: what touches her, by name; then a skin test counts only if it was of each of them.
    clips_then: where the clips of an owned piece will sit; then also what that changes about its place is said.
    corrects: what is known of the unit is then what was known before that service.
    """
    ground = ground_of(assessment_for(fitting), salon, at=at, on=on)
    told = _beside_the_record(facts, candidate, owned_piece, corrects) | _tested(ground, products, at=at)
    about_piece = _piece_in_place(ground, candidate, owned_piece)
    said = _asked(ground, {**about_piece, **NOTHING_PLANNED, **told}, ABOUT_SERVICE)
    if clips_then is None or owned_piece is None:
        return said
    before = {(one.rule_id, one.says) for one in _asked(ground, about_piece, ABOUT_PLACE)}
    moved = _piece_in_place(ground, candidate, owned_piece, clips=tuple(Clip(**clip) for clip in clips_then))
    changed = [one for one in _asked(ground, moved, ABOUT_PLACE) if (one.rule_id, one.says) not in before]
    return (*said, *changed)


@dataclass(frozen=True)
class Heard:
    """What the rules said, as it is kept, and the stops that an owner lets pass now."""

    kept: list[dict[str, Any]]
    stops: list[KeptFinding]


def must_be_heard(
    findings: Iterable[Finding],
    *,
    acknowledged: Collection[str],
    owner: User | None,
    reasons: Mapping[str, str],
    heard_before: Iterable[Mapping[str, Any]] = (),
    passed_before: Iterable[Override] = (),
) -> Heard:
    """Raise ValidationError, a sentence a reason, unless every caution is read and every stop is let pass.

    What was read and let pass before in the same words, when it was planned, need not be again.
    """
    kept = kept_findings(findings)
    read = {(one["rule_id"], one["says"]) for one in heard_before}
    passed = {(one.rule_id, one.finding) for one in passed_before}
    standing = [one for one in kept if one["severity"] == "stop" and (one["rule_id"], one["says"]) not in passed]
    stops = must_be_let_pass(standing, owner=owner, reasons=reasons)
    unread = [
        one
        for one in kept
        if one["severity"] == "caution"
        and one["rule_id"] not in acknowledged
        and (one["rule_id"], one["says"]) not in read
    ]
    if unread:
        raise ValidationError([f"Read and tick first: {one['says']}" for one in unread])
    return Heard(kept, stops)


def hers(fitting: Fitting, candidate: Candidate | None, owned_piece: OwnedPiece | None) -> None:
    """Raise ValidationError unless the piece was chosen in this visit, or belongs to the client whose visit it is."""
    if candidate is not None and candidate.fitting_id != fitting.pk:
        raise ValidationError("This piece was chosen in another visit.")
    if owned_piece is not None and owned_piece.client_id != fitting.client_id:
        raise ValidationError("This piece belongs to somebody else.")


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
    owned_piece: OwnedPiece | None = None,
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
    visits = Fitting.objects.select_for_update(of=("self",), no_key=True)  # an entry may name the visit meanwhile
    fitting = visits.select_related("assessment__client").get(pk=fitting.pk)
    if fitting.is_finished:
        raise ValidationError("This visit is finished; plan it in the next one.")
    hers(fitting, candidate, owned_piece)
    findings = findings_about_service(
        fitting=fitting, candidate=candidate, owned_piece=owned_piece, facts=facts, salon=salon, at=at, on=on
    )
    reasons = reasons or {}
    heard = must_be_heard(findings, acknowledged=acknowledged, owner=owner, reasons=reasons)
    service = Service(
        fitting=fitting,
        candidate=candidate,
        owned_piece=owned_piece,
        kind=kind,
        facts=dict(facts),
        note=note,
        price_minor=price_minor,
        findings=heard.kept,
        planned_by=by,
    )
    service.full_clean()
    service.save()
    record_passes(heard.stops, fitting=fitting, service=service, owner=owner, reasons=reasons)
    return service


@transaction.atomic
def remove_service(*, service: Service) -> None:
    """Take a planned service away while the visit is open, with the passes that were given for it."""
    kept = Service.objects.select_for_update(of=("self",)).select_related("fitting").filter(pk=service.pk).first()
    if kept is None:  # pressed twice
        return
    if kept.is_done:
        raise ValidationError("This was done and stays on the record; correct it, or strike it out.")
    if kept.fitting.is_finished:
        raise ValidationError("This visit is finished; what was planned in it stands.")
    kept.overrides.all().delete()
    kept.delete()


def _asked(ground: Ground, about: Facts, subjects: tuple[About, ...]) -> tuple[Finding, ...]:
    plan = Plan({**ground.facts, **about})
    return rule_book().check(plan, ground.numbers, on=ground.on, about=subjects, units=ground.units)


def _tested(ground: Ground, products: Collection[str], *, at: datetime) -> Facts:
    """Whether a test of every one of these very products counts at that moment; nothing without products."""
    if not products:
        return {}
    return {
        fact: all(
            has_clear_test(ground.client, kind, at=at, numbers=ground.numbers, product=product) for product in products
        )
        for fact, kind in (("allergy_test_read", SkinTestKind.COLOUR), ("adhesive_test_read", SkinTestKind.ADHESIVE))
    }


def _beside_the_record(
    facts: Mapping[str, object], candidate: Candidate | None, owned_piece: OwnedPiece | None, corrects: Service | None
) -> Facts:
    """What was answered, with what the record knows of the very unit; as answered where no unit was noted."""
    unit = unit_of(candidate, owned_piece)
    if unit is None:
        return dict(facts)
    known = known_of_unit(unit, before=corrects.done_at if corrects else None, without=corrects)
    return known.beside(dict(facts))


def _piece_in_place(
    ground: Ground,
    candidate: Candidate | None,
    owned_piece: OwnedPiece | None,
    clips: tuple[Clip, ...] | None = None,
) -> Facts:
    """What is known of the piece in the place it was chosen for, or in its best; nothing when it is her own hair."""
    if candidate is None and owned_piece is None:
        return {}
    variant_id = owned_piece.unit.variant_id if owned_piece else candidate.variant_id  # type: ignore[union-attr]  # one of the two is there
    variant = with_all_that_is_read(Variant.objects.filter(pk=variant_id)).get()
    shape = variant.piece.base.shape()
    if owned_piece is not None:
        shape = replace(shape, clips=clips if clips is not None else _clips_now(owned_piece))
    placement = _placed(ground, shape, owned_piece.candidate if owned_piece else candidate)
    facts = facts_in_place(ground, variant, shape, placement)
    if owned_piece is not None:  # its own clips, not those its base was made with
        facts["has_front_clip"] = any(clip.u_mm <= FRONT_MM for clip in shape.clips)
    return facts


def _clips_now(owned_piece: OwnedPiece) -> tuple[Clip, ...]:
    return tuple(Clip(clip["u_mm"], clip["v_mm"], clip["length_mm"]) for clip in owned_piece.clips)


def _placed(ground: Ground, shape: BaseShape, chosen: Candidate | None) -> Placement:
    if chosen is None:
        return rank(ground.head, ground.loss_map, [shape], placement_rules(ground.numbers))[0].placement
    return placed_as_chosen(ground, shape, chosen, set_back_mm=chosen.set_back_mm)
