"""The steps of an examination, what was found on one page, and the signature that closes it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.assessing import StaleRevision, sign_off
from clients.looking import note_look
from clients.models import Assessment
from clients.models.assessment import ReferralSign
from clients.scalp.drawing import draw_flat_map
from clients.scalp.loss_map import LossMap
from fittings.consult.beside import beside_map, beside_own_hair, beside_tapes
from fittings.consult.forms import SignOffForm, StoryForm, TapesForm, WishesForm
from fittings.consult.map_form import MapForm, head_of, shown_on_the_head
from fittings.consult.own_hair_form import OwnHairForm
from fittings.consult.reading_back import read_back
from fittings.consult.step_page import (
    StepPage,
    assessment_of,
    kept_nowhere,
    show_step,
    unit_of,
    visit,
    visit_context,
)
from fittings.consult.steps import steps_of
from fittings.consult.tape_drawings import drawn_beside_each
from fittings.consult.written_before import written_before
from fittings.seeing_a_doctor import which_doctor_and_when
from fittings.visiting import examine_anew
from salon.common.access import needs
from salon.current import SalonRequest

STORY = StepPage("story", "Story", StoryForm, "fittings/consult/story.html", more=written_before)
TAPES = StepPage(
    "tapes",
    "Tapes",
    TapesForm,
    "fittings/consult/tapes.html",
    "fittings/consult/_head_size.html",
    beside_tapes,
    drawn_beside_each,
)
MAP = StepPage(
    "map",
    "Loss map",
    MapForm,
    "fittings/consult/map.html",
    "fittings/consult/_share_lost.html",
    beside_map,
    shown_on_the_head,
)
OWN_HAIR = StepPage(
    "own-hair",
    "Own hair",
    OwnHairForm,
    "fittings/consult/own_hair.html",
    "fittings/consult/_from_photos.html",
    beside_own_hair,
)
WISHES = StepPage("wishes", "Wishes", WishesForm)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def story(request: SalonRequest, reference: str) -> HttpResponse:
    return show_step(request, reference, STORY)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def tapes(request: SalonRequest, reference: str) -> HttpResponse:
    return show_step(request, reference, TAPES)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def loss_map(request: SalonRequest, reference: str) -> HttpResponse:
    return show_step(request, reference, MAP)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def own_hair(request: SalonRequest, reference: str) -> HttpResponse:
    return show_step(request, reference, OWN_HAIR)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def wishes(request: SalonRequest, reference: str) -> HttpResponse:
    return show_step(request, reference, WISHES)


@needs("fittings.change_fitting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def sign_off_page(request: SalonRequest, reference: str) -> HttpResponse:
    """Everything in words on one page; signing it freezes it."""
    fitting = visit(reference)
    assessment = assessment_of(fitting)
    if request.method == "POST":
        form = SignOffForm(request.POST)
        revision = form.cleaned_data["revision"] if form.is_valid() else -1  # a page that can't say is out of date
        try:
            sign_off(assessment=assessment, by=request.user, at=now(), revision=revision)
        except StaleRevision:
            messages.warning(request, "Something was saved after this page was shown. Read it again, then sign.")
            return redirect("consult-sign-off", fitting.reference)
        except ValidationError as refusal:
            for sentence in refusal.messages:
                messages.error(request, sentence)
            return redirect("consult-sign-off", fitting.reference)
        return redirect("fitting", fitting.reference)
    if not assessment.is_draft:
        return redirect("assessment", assessment.reference)
    note_look(client=fitting.client, user=request.user, page="Assessment: signing off")
    context = visit_context(fitting, "sign-off") | _read(request, assessment)
    return kept_nowhere(render(request, "fittings/consult/sign_off.html", context))


@needs("clients.view_health")
@require_safe
def assessment_page(request: SalonRequest, reference: str) -> HttpResponse:
    """An assessment as it was signed off."""
    assessment = get_object_or_404(
        Assessment.objects.select_related("client", "stylist", "signed_by", "supersedes"), reference=reference
    )
    note_look(client=assessment.client, user=request.user, page="Assessment")
    open_visit = assessment.fittings.open().select_related("assessment").first()
    context = {
        "place": "fittings" if open_visit else "clients",
        "client": assessment.client,
        "fitting": open_visit,
        "steps": steps_of(open_visit) if open_visit else (),
        "newer": assessment.successors.exclude(state=Assessment.State.DRAFT).first(),
    }
    return kept_nowhere(render(request, "fittings/consult/assessment.html", context | _read(request, assessment)))


@needs("fittings.change_fitting", "clients.add_assessment", "clients.view_health")
@require_POST
def assessment_renew(request: SalonRequest, reference: str) -> HttpResponse:
    """A new assessment that starts from the last one signed off."""
    old = get_object_or_404(Assessment.objects.select_related("client"), reference=reference)
    try:
        fitting = examine_anew(client=old.client, stylist=request.user, at=now())
    except ValidationError as refusal:
        for sentence in refusal.messages:
            messages.error(request, sentence)
        return redirect("assessment", old.reference)
    messages.info(request, "A new assessment has begun and starts from the last one. What changes is asked again.")
    return redirect("consult-story", fitting.reference)


def _read(request: SalonRequest, assessment: Assessment) -> dict[str, Any]:
    sections = read_back(assessment, unit=unit_of(request), currency=request.salon.currency)
    return {
        "assessment": assessment,
        "sections": sections,
        "assumed": [sentence for section in sections for sentence in section.assumed],
        "warnings": [sentence for section in sections for sentence in section.warnings],
        "signs": [ReferralSign(sign).label for sign in assessment.referral_signs],
        "doctor_when": which_doctor_and_when(assessment.referral_signs),
        "chart": draw_flat_map(
            LossMap.from_hex(assessment.density_hex),
            head_of(assessment),
            title="Loss map: percent of hair remaining by zone",
            size=420,
        ),
    }
