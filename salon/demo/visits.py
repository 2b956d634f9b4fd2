"""Carries one demo visit through its steps, by the deeds that the pages call and in their order.

What was told and measured is in `examinations`, which visits there were in `history`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.utils.timezone import localdate

from clients.assessing import (
    ReadingTaken,
    save_map,
    save_own_hair,
    save_story,
    save_tapes,
    save_wishes,
    sign_off,
)
from clients.models import Assessment, ColourReading
from clients.scalp.head import Head
from fittings.candidates import Proposal, ground_of, proposals_for, with_all_that_is_read
from fittings.choosing.wishes import narrowed, wishes_of
from fittings.house_numbers import start_numbers
from fittings.models import Candidate, Fitting, Service, TryOn
from fittings.planning import findings_about_service, plan_service
from fittings.trying import choose_to_try, decide, log_try_on
from pieces.models import Shade, Unit, Variant
from salon.demo.clock import clock_at
from salon.demo.examinations import Examination
from salon.demo.photos import read_by_chart
from salon.models import Salon, User

Grade = TryOn.Grade
WELL, NEARLY, NOT = Grade.WELL, Grade.NEARLY, Grade.NOT
DAYLIGHT = "Daylight at a window"


@dataclass(frozen=True)
class Look:
    """How one piece did: covers, sits, matches, and what she said."""

    covers: TryOn.Grade
    sits: TryOn.Grade
    matches: TryOn.Grade
    her_words: str = ""


@dataclass(frozen=True)
class Planned:
    """One service for the chosen piece (or for her own hair), with the answers its form asks for.

    `reasons`: what the owner wrote for each stop she let pass, by rule.
    """

    kind: Service.Kind
    facts: Mapping[str, object] = field(default_factory=dict)
    note: str = ""
    price_minor: int = 0
    on_piece: bool = True
    reasons: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Choice:
    """Which pieces were tried and what came of it.

    `narrowed_to` holds the wishes ticked on the candidates page, `pieces` names those asked for by name instead of the
    first that are offered; `chosen` and `second` count the looks from 0.
    """

    looks: tuple[Look, ...] = ()
    narrowed_to: tuple[str, ...] = ("drawer",)
    pieces: tuple[str, ...] = ()
    chosen: int | None = None
    second: int | None = None
    why: str = ""
    none_because: str = ""
    services: tuple[Planned, ...] = ()


def examine(fitting: Fitting, found: Examination, *, salon: Salon, by: User, at: datetime) -> Assessment:
    """Fill the draft of the visit step by step, as far as there is something to write; signing it off is another."""
    assessment = fitting.assessment
    assert assessment is not None  # noqa: S101  # a visit that is a consult begins with a draft
    with clock_at(at):
        assessment = save_story(
            assessment=assessment,
            revision=assessment.revision,
            by=by,
            reactions=[*assessment.client.sensitivities.values_list("substance", flat=True), *found.reacts_to],
            on=localdate(at),
            reactions_asked=True,
            **found.told,
        )
        tapes = dict(zip(("circumference_mm", "front_to_nape_mm", "ear_to_ear_mm"), found.tapes, strict=True))
        assessment = save_tapes(assessment=assessment, revision=assessment.revision, by=by, **tapes)
        density_hex = found.painting.on(Head.from_tapes(**tapes)).to_hex()
        assessment = save_map(assessment=assessment, revision=assessment.revision, by=by, density_hex=density_hex)
        if found.seen:
            readings = _readings(found) | read_by_chart(fitting.client, found.by_chart, salon, by=by, at=at)
            assessment = save_own_hair(
                assessment=assessment, revision=assessment.revision, by=by, readings=readings, **found.seen
            )
        if found.wished:
            assessment = save_wishes(assessment=assessment, revision=assessment.revision, by=by, **found.wished)
    return assessment


def sign(assessment: Assessment, *, by: User, at: datetime) -> Assessment:
    with clock_at(at):
        return sign_off(assessment=assessment, by=by, at=at, revision=assessment.revision)


def choose(fitting: Fitting, choice: Choice, *, salon: Salon, by: User, at: datetime) -> list[Candidate]:
    """Look through the catalogue and take as many pieces to try as there are looks."""
    on = localdate(at)
    with clock_at(at):
        return [
            choose_to_try(fitting=fitting, variant=proposal.variant, salon=salon, by=by, at=at, on=on)
            for proposal in _proposed(fitting, choice, salon=salon, at=at, on=on)
        ]


def try_on(
    fitting: Fitting, candidates: list[Candidate], looks: tuple[Look, ...], *, by: User, at: datetime
) -> list[TryOn]:
    """Put them on one after the other, six minutes each, and log how each did."""
    worn = []
    for number, (candidate, look) in enumerate(zip(candidates, looks, strict=False)):
        with clock_at(at + number * timedelta(minutes=6)):
            worn.append(
                log_try_on(
                    fitting=fitting,
                    candidate=candidate,
                    unit=Unit.objects.in_drawer().filter(variant=candidate.variant).order_by("number").first(),
                    covers=look.covers,
                    sits=look.sits,
                    matches=look.matches,
                    set_back_mm=round(candidate.set_back_mm),
                    her_words=look.her_words,
                    by=by,
                )
            )
    return worn


def conclude(
    fitting: Fitting, worn: list[TryOn], choice: Choice, *, salon: Salon, by: User, owner: User, at: datetime
) -> None:
    """Take the decision and plan the services, each caution read; past a stop goes only the owner, with her reasons."""
    with clock_at(at):
        chosen = None if choice.chosen is None else worn[choice.chosen]
        decide(
            fitting=fitting,
            chosen=chosen,
            second=None if choice.second is None else worn[choice.second],
            why_chosen=choice.why,
            none_chosen_because=choice.none_because,
            by=by,
        )
        for planned in choice.services:
            piece = chosen.candidate if planned.on_piece and chosen else None
            on = localdate(at)
            findings = findings_about_service(
                fitting=fitting, candidate=piece, facts=planned.facts, salon=salon, at=at, on=on
            )
            plan_service(
                fitting=fitting,
                kind=planned.kind,
                facts=planned.facts,
                candidate=piece,
                note=planned.note,
                price_minor=planned.price_minor,
                salon=salon,
                by=by,
                at=at,
                on=on,
                acknowledged={one.rule_id for one in findings if one.severity == "caution"},
                owner=owner if planned.reasons else None,
                reasons=planned.reasons,
            )


def _readings(found: Examination) -> dict[str, ReadingTaken]:
    methods, usual = ColourReading.Method, start_numbers()
    readings = {
        zone: ReadingTaken(methods.INSTRUMENT, lab, usual["instrument_doubt"])
        for zone, lab in found.by_instrument.items()
    }
    for zone, code in found.by_eye.items():
        shade = Shade.objects.select_related("maker").get(code=code)
        label = f"{shade} ({shade.maker})"
        readings[zone] = ReadingTaken(methods.BY_EYE, shade.lab()[zone], usual["by_eye_doubt"], DAYLIGHT, label)
    return readings


def _proposed(fitting: Fitting, choice: Choice, *, salon: Salon, at: datetime, on: date) -> list[Proposal]:
    """The pieces asked for by name, or the first that fit, or fit with a change, as the candidates page shows them."""
    assessment = fitting.assessment
    assert assessment is not None  # noqa: S101  # signed off before pieces are placed on it
    ground = ground_of(assessment, salon, at=at, on=on)
    variants = narrowed(Variant.objects.offered(on=on), wishes_of(assessment), list(choice.narrowed_to))
    if choice.pieces:
        variants = variants.filter(piece__name__in=choice.pieces)
    offered = proposals_for(ground, with_all_that_is_read(variants))
    if choice.pieces:
        by_name = {proposal.piece.name: proposal for proposal in offered}
        return [by_name[name] for name in choice.pieces]
    return [one for one in offered if one.verdict != Candidate.Verdict.NOT][: len(choice.looks)]
