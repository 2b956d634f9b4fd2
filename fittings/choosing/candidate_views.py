"""The candidates of a visit: every piece on this head, one to argue with, and those chosen to try."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_POST, require_safe

from fittings.candidates import (
    Ground,
    Proposal,
    ground_of,
    in_these_shades,
    mix_for,
    proposal_of,
    proposals_for,
    with_all_that_is_read,
)
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.choosing.seat import Seat, seat_shown, turning_head
from fittings.choosing.wishes import narrowed, wishes_of
from fittings.models import Candidate, Fitting
from fittings.trying import AT_MOST, choose_to_try, remove_from_try
from pieces.models import AskedFor, Variant
from salon.colour.matching import NOT_THAT_WAY
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest

CARDS_A_PAGE = 9
consulting = needs("fittings.change_fitting", "clients.view_health")


@consulting
@require_safe
def candidates(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    ground = _ground(request, fitting)
    if ground is None:
        return redirect("fitting", reference)
    wishes, ticked = wishes_of(ground.assessment), request.GET.getlist("wish")
    offered = narrowed(Variant.objects.offered(on=ground.on), wishes, ticked)
    proposals = proposals_for(ground, with_all_that_is_read(offered))
    counts = {verdict: sum(p.verdict == verdict for p in proposals) for verdict in Candidate.Verdict}
    shown = _verdict_asked_for(request.GET.get("show"), counts)
    of_verdict = [p for p in proposals if p.verdict == shown]
    page = Paginator(of_verdict, CARDS_A_PAGE).get_page(request.GET.get("page"))
    context = page_of(
        request,
        fitting,
        "candidates",
        wishes=wishes,
        ticked=ticked,
        verdicts=[(verdict, counts[verdict]) for verdict in Candidate.Verdict],
        shown=shown,
        page=page,
        cards=[_card(ground, proposal) for proposal in page if not proposal.is_set_apart],
        apart=[_card(ground, proposal) for proposal in page if proposal.is_set_apart],
        colour=_colour_told(ground, proposals),
        **_set_apart(of_verdict),
        client_findings=ground.client_findings(),
        assumed=ground.head.assumed,
        at_most=AT_MOST,
        **_chosen(fitting),
    )
    return render_page_or_part(request, "fittings/candidates.html", "fittings/_candidates.html", context)


@consulting
@require_safe
def candidate(request: SalonRequest, reference: str, variant_id: int) -> HttpResponse:
    """One variant, whole: its place, colour, findings, and the other shades of the piece beside it."""
    fitting = visit_of(request, reference)
    ground = _ground(request, fitting)
    if ground is None:
        return redirect("fitting", reference)
    variant = _variant(variant_id)
    proposal = proposal_of(ground, variant)
    offered = Variant.objects.offered(on=ground.on).filter(piece=variant.piece, length_mm=variant.length_mm)
    others = in_these_shades(ground, proposal, list(with_all_that_is_read(offered)))
    context = page_of(
        request,
        fitting,
        "candidates",
        card=_card(ground, proposal),
        head=turning_head(ground, proposal),
        others=others,
        crossed=dict.fromkeys(match.crossed_words for _, match in others if match.crossed),
        **_chosen(fitting),
    )
    return render(request, "fittings/candidate.html", context)


@consulting
@require_safe
def candidate_placement(request: SalonRequest, reference: str, variant_id: int) -> HttpResponse:
    """The same piece at another set-back: what the slider shows while it moves."""
    fitting = visit_of(request, reference)
    ground = _ground(request, fitting)
    if ground is None:
        return redirect("fitting", reference)
    proposal = proposal_of(ground, _variant(variant_id))
    seat = seat_shown(ground, proposal, request.GET.get("set_back"))
    context = {"fitting": fitting, "card": {"proposal": proposal, "seat": seat}}
    return render_page_or_part(request, "fittings/candidate_seat.html", "fittings/_seat.html", context)


@consulting
@require_POST
def candidate_try(request: SalonRequest, reference: str, variant_id: int) -> HttpResponse:
    fitting = visit_of(request, reference)
    try:
        chosen = choose_to_try(
            fitting=fitting,
            variant=_variant(variant_id),
            salon=request.salon,
            by=request.user,
            at=now(),
            on=localdate(),
        )
        messages.success(request, f"{chosen.variant.piece} is among those to try.")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("candidates", reference)


@consulting
@require_POST
def candidate_untry(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    fitting = visit_of(request, reference)
    chosen = get_object_or_404(fitting.candidates, pk=pk)
    try:
        remove_from_try(fitting=fitting, candidate=chosen)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("candidates", reference)


def _ground(request: SalonRequest, fitting: Fitting) -> Ground | None:
    """None, and a word about it, while the assessment is still being written."""
    if fitting.assessment is None or fitting.assessment.is_draft:
        messages.info(request, "Sign the assessment off first; the pieces are placed on what it says.")
        return None
    return ground_of(fitting.assessment, request.salon, at=now(), on=localdate())


def _variant(variant_id: int) -> Variant:
    return get_object_or_404(with_all_that_is_read(Variant.objects.all()), pk=variant_id)


def _card(ground: Ground, proposal: Proposal) -> dict[str, Proposal | Seat]:
    return {"proposal": proposal, "seat": seat_shown(ground, proposal, None)}


def _colour_told(ground: Ground, proposals: list[Proposal]) -> dict[str, Any]:
    """What is said of her colours once for the whole page: the share of grey, two shades together (as around the first
    piece in line), and why nothing leads from one way of reading to another where a shade is set apart for that."""
    first = next(iter(proposals), None)
    waits = any(proposal.match.not_measured == NOT_THAT_WAY for proposal in proposals)
    return {
        "readings": ground.colours.readings,
        "grey": ground.colours.grey,
        "mix": mix_for(ground, first) if first else None,
        "mix_as_for": first,
        "refused": ground.colours.refused if waits else (),
    }


def _set_apart(proposals: list[Proposal]) -> dict[str, int]:
    """How many of these, which stand in line already, are set apart at its end, and on which page the first is."""
    ranked = sum(not proposal.is_set_apart for proposal in proposals)
    return {"apart_count": len(proposals) - ranked, "apart_page": ranked // CARDS_A_PAGE + 1}


def _chosen(fitting: Fitting) -> dict[str, Any]:
    """What was chosen to try, and what this visit asked for and did not find in the drawer."""
    chosen = list(fitting.candidates.all())
    asked_for = AskedFor.objects.filter(visit_reference=fitting.reference, variant__isnull=False)
    return {
        "chosen": chosen,
        "chosen_variants": {one.variant_id for one in chosen if not one.is_earlier},
        "asked_variants": set(asked_for.values_list("variant", flat=True)),
    }


def _verdict_asked_for(asked: str | None, counts: dict[Candidate.Verdict, int]) -> Candidate.Verdict:
    """What the address asks to show; else the first kind that has any."""
    if asked in Candidate.Verdict.values:
        return Candidate.Verdict(asked)
    return next((verdict for verdict in Candidate.Verdict if counts[verdict]), Candidate.Verdict.FITS)
