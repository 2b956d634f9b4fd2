"""Chooses pieces to try, logs how each did, and takes the decision: the only writer of Candidate and TryOn."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from clients.consenting import require_record_consent
from fittings.asking_again import findings_as_worn, stops_against
from fittings.candidates import Ground, Proposal, ground_of, proposal_of, with_all_that_is_read
from fittings.comparing_colours import OwnColours
from fittings.keeping_findings import kept_findings
from fittings.keeping_pieces import kept_piece
from fittings.models import Candidate, Fitting, Loan, OwnedPiece, TryOn
from fittings.passing_stops import must_be_let_pass, record_passes
from fittings.rules.engine import Finding
from pieces.models import Unit, Variant
from pieces.stock import IN_STOCK
from salon.colour.matching import Match
from salon.models import Salon, User

AT_MOST = 5  # more than five pieces tire a client; the stylist can take one away and try another


@transaction.atomic
def choose_to_try(*, fitting: Fitting, variant: Variant, salon: Salon, by: User, at: datetime, on: date) -> Candidate:
    """Freeze a proposal as a candidate of this visit, with the numbers and rules of today.

    Raises ValidationError when the visit is over, the assessment is not signed off, five are chosen already, or it is
    among them.
    """
    fitting = _open(fitting)
    assessment = fitting.assessment
    if assessment is None or assessment.is_draft:
        raise ValidationError("Sign the assessment off first; the pieces are placed on what it says.")
    if fitting.candidates.count() >= AT_MOST:
        raise ValidationError(f"{AT_MOST} pieces are chosen to try. Take one away to try another.")
    whole = with_all_that_is_read(Variant.objects.filter(pk=variant.pk)).get()
    ground = ground_of(assessment, salon, at=at, on=on)
    candidate = _frozen(fitting, ground, proposal_of(ground, whole), by=by)
    candidate.full_clean()
    candidate.save()
    return candidate


@transaction.atomic
def remove_from_try(*, fitting: Fitting, candidate: Candidate) -> None:
    """Take a piece away again; one that was tried on stays, for it happened."""
    _open(fitting)
    if candidate.try_ons.exists():
        raise ValidationError("This piece has been tried on and stays in the record of the visit.")
    if candidate.services.exists():
        raise ValidationError("A service is planned on this piece; take the service away first.")
    candidate.delete()


@transaction.atomic
def log_try_on(
    *,
    fitting: Fitting,
    candidate: Candidate,
    covers: str,
    sits: str,
    matches: str,
    by: User,
    unit: Unit | None = None,
    set_back_mm: int | None = None,
    her_words: str = "",
) -> TryOn:
    """Keep how one piece did on the head, with what the rules say of it as worn. A second look is a second try-on.

    A stop does not keep a piece from being shown to her; it holds for the decision. Without her consent to the record
    nothing is kept.
    """
    fitting = _open(fitting)
    require_record_consent(fitting.client)
    if candidate.fitting_id != fitting.pk:
        raise ValidationError("This piece was chosen in another visit.")
    if unit is not None and unit.variant_id != candidate.variant_id:
        raise ValidationError({"unit": f"Unit {unit.number} is another piece; take one of {candidate.kept.name}."})
    if unit is not None and not units_to_put_on(fitting, candidate).filter(pk=unit.pk).exists():
        raise ValidationError({"unit": f"Unit {unit.number} is not here: it is with somebody else or written off."})
    try_on = TryOn(
        fitting=fitting,
        candidate=candidate,
        unit=unit,
        covers=covers,
        sits=sits,
        matches=matches,
        set_back_mm=set_back_mm,
        her_words=her_words,
        findings=kept_findings(_said_now(candidate, set_back_mm)),
        logged_by=by,
    )
    try_on.full_clean()
    try_on.save()
    return try_on


def units_to_put_on(fitting: Fitting, candidate: Candidate) -> QuerySet[Unit]:
    """Units of a candidate's piece that can be on her head: in the salon, or hers, or lent to her."""
    hers = OwnedPiece.objects.current().filter(client=fitting.client_id)
    lent = Loan.objects.filter(client=fitting.client_id, back_on__isnull=True)
    return Unit.objects.filter(
        Q(state__in=IN_STOCK) | Q(pk__in=hers.values("unit")) | Q(pk__in=lent.values("unit")),
        variant=candidate.variant_id,
    )


@transaction.atomic
def decide(
    *,
    fitting: Fitting,
    chosen: TryOn | None,
    by: User,
    second: TryOn | None = None,
    why_chosen: str = "",
    none_chosen_because: str = "",
    owner: User | None = None,
    reasons: dict[str, str] | None = None,
) -> Fitting:
    """Take one of the pieces tried, two as a pair, or none with the reason; a later decision replaces it until the
    visit is finished. The rules are asked again, and a piece that one stops is chosen only past an owner with a written
    reason for each stop.
    """
    fitting = _open(fitting)
    if chosen is None and not none_chosen_because.strip():
        raise ValidationError("Choose a piece that was tried, or write why none is taken.")
    if second is not None and (chosen is None or second.candidate_id == chosen.candidate_id):
        raise ValidationError("A pair is two different pieces; choose the first and then the second.")
    for try_on in (chosen, second):
        if try_on is not None and try_on.fitting_id != fitting.pk:
            raise ValidationError("This try-on belongs to another visit.")
    fitting.try_ons.exclude(outcome=TryOn.Outcome.TRIED).update(outcome=TryOn.Outcome.TRIED)
    fitting.overrides.filter(candidate__isnull=False).delete()
    for try_on, outcome in ((chosen, TryOn.Outcome.CHOSEN), (second, TryOn.Outcome.SECOND)):
        if try_on is None:
            continue
        stops = must_be_let_pass(stops_now(try_on), owner=owner, reasons=reasons or {})
        record_passes(stops, fitting=fitting, candidate=try_on.candidate, owner=owner, reasons=reasons or {})
        try_on.outcome = outcome
        try_on.full_clean()
        try_on.save()
    fitting.why_chosen = why_chosen.strip() if chosen else ""
    fitting.none_chosen_because = "" if chosen else none_chosen_because.strip()
    fitting.full_clean()
    fitting.save()
    return fitting


def _open(fitting: Fitting) -> Fitting:
    fresh = Fitting.objects.select_for_update(of=("self",)).select_related("assessment__client").get(pk=fitting.pk)
    if fresh.is_finished:
        raise ValidationError("This visit is finished; what was decided in it stands.")
    return fresh


def _frozen(fitting: Fitting, ground: Ground, proposal: Proposal, *, by: User) -> Candidate:
    placement = proposal.placement
    return Candidate(
        fitting=fitting,
        assessment=ground.assessment,
        variant=proposal.variant,
        piece_as_chosen=kept_piece(proposal.variant),
        verdict=proposal.verdict,
        set_back_mm=placement.set_back_mm,
        side_shift_mm=placement.side_shift_mm,
        turned=placement.turned,
        cover=min(1.0, max(0.0, placement.cover)),
        uncovered_cm2=placement.uncovered_cm2,
        margin_mm=placement.margin_mm if abs(placement.margin_mm) < 1000 else None,
        clips_holding=placement.clips_holding,
        clips_total=placement.clips_total,
        colour=_kept_colour(proposal.match, ground.colours),
        findings=kept_findings(proposal.findings),
        house_rules=ground.numbers,
        price_minor=proposal.variant.price_minor,
        currency=proposal.variant.currency,
        chosen_by=by,
    )


def _kept_colour(match: Match, own: OwnColours) -> dict[str, Any]:
    """The comparison as it was made, with the shade's colours on the scale on which they were compared, for a shade is
    read anew and carried over by other shades next year. Rows kept before photos were read lack the last four keys."""
    named = match.named
    return {
        "zones": dict(match.differences),
        "left_out": dict(match.left_out),
        "weighted": named.difference if named else None,
        "doubt": named.doubt if named else None,
        "band": named.band.value if named else None,
        "passes": named.passes if named else None,
        "words": match.words,
        "colours": dict(match.colours),
        "scales": {zone: reading.scale for zone, reading in own.readings.items()},
        "crossed": match.crossed_words,
        "grey": own.grey.kept() if own.grey else None,
    }


def stops_now(look: TryOn) -> list[dict[str, Any]]:
    """What stops this piece at this moment, for the form that asks an owner and for the decision itself."""
    return stops_against(look, salon=Salon.objects.default(), at=timezone.now(), on=timezone.localdate())


def _said_now(candidate: Candidate, set_back_mm: int | None) -> tuple[Finding, ...]:
    return findings_as_worn(
        candidate,
        set_back_mm=set_back_mm,
        salon=Salon.objects.default(),
        at=timezone.now(),
        on=timezone.localdate(),
    )
