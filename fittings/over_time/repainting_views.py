"""Painting the same head twice: which head, the first painting, a pause, the second, and what the pair adds."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.looking import note_look
from clients.models import Repainting
from clients.repainting import drop_repainting, with_whose_head
from fittings.consult.map_form import shown_on_the_head
from fittings.consult.step_page import kept_nowhere, unit_of
from fittings.models import HouseRule
from fittings.over_time.apart import paintings_apart
from fittings.over_time.examples import example_pictures, result_of, whose_head
from fittings.over_time.repainting_forms import PaintingForm, WhoseHeadForm
from salon.common.access import needs
from salon.current import SalonRequest

LOOK = "head painted twice"
A_PAGE = 30


@needs("clients.view_repainting", "clients.view_health")
@require_safe
def repaintings(request: SalonRequest) -> HttpResponse:
    """How far paintings lie apart by now, and every pair it rests on."""
    begun = with_whose_head(Repainting.objects.unfinished())
    finished = with_whose_head(Repainting.objects.finished()).defer("first_hex", "second_hex")
    page = Paginator(finished, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "place": "fittings",
        "apart": paintings_apart(HouseRule.objects.current()),
        "unfinished": [
            (one, whose_head(one)) for one in begun.defer("first_hex", "second_hex").filter(painted_by=request.user)
        ],
        "page": page,
        "finished": [(one, whose_head(one)) for one in page],
    }
    return kept_nowhere(render(request, "fittings/over_time/repaintings.html", context))


@needs("clients.add_repainting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def repainting_new(request: SalonRequest) -> HttpResponse:
    form = WhoseHeadForm(request.POST if request.method == "POST" else None, by=request.user, at=now())
    if form.is_valid() and (begun := form.begin()):
        return redirect(begun)
    context = {"place": "fittings", "form": form, "examples": example_pictures()}
    return kept_nowhere(
        render(request, "fittings/over_time/repainting_new.html", context, status=422 if form.is_bound else 200)
    )


@needs("clients.change_repainting", "clients.view_health")
@require_http_methods(["GET", "POST"])
def repainting(request: SalonRequest, reference: str) -> HttpResponse:
    """Where it stands: the first painting, the pause, the second painting, or the result."""
    one = _found(reference)
    if request.method == "GET":
        _note_look(request, one)
    if one.is_finished:
        if request.method == "POST":
            messages.info(request, "Both paintings of this head are done already.")
            return redirect(one)
        apart = paintings_apart(HouseRule.objects.current())
        return _shown(request, "result", one, {"apart": apart, "result": result_of(one)})
    if one.painted_by_id != request.user.pk:
        return _shown(request, "pause", one, {"is_hers": False})
    if request.method == "GET" and one.first_hex and request.GET.get("round") != "second":
        return _shown(request, "pause", one, {"is_hers": True})
    return _paint(request, one)


@needs("clients.change_repainting", "clients.view_health")
@require_POST
def repainting_drop(request: SalonRequest, reference: str) -> HttpResponse:
    one = _found(reference)
    try:
        drop_repainting(repainting=one, by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(one)
    messages.info(request, "Dropped; it counts for nothing.")
    return redirect("repaintings")


def _paint(request: SalonRequest, one: Repainting) -> HttpResponse:
    is_second = bool(one.first_hex)
    sent_first_again = request.method == "POST" and request.POST.get("round") != ("second" if is_second else "first")
    if sent_first_again:  # an old page's press: the first is stored, and the second must not be the same strokes
        messages.info(request, "The first painting is stored already.")
        return redirect(one)
    data = request.POST if request.method == "POST" else None
    form = PaintingForm(data, repainting=one, unit=unit_of(request), currency=request.salon.currency)
    if form.is_valid() and form.store(by=request.user, at=now()):
        return redirect(one)
    painting = {
        "form": form,
        "is_second": is_second,
        "pictures": example_pictures(one.pattern) if one.pattern else (),
        "draft_key": f"{one.reference}-{'second' if is_second else 'first'}",
        **shown_on_the_head(form),
    }
    if one.pattern:
        painting["patterns"] = "{}"  # an example started from its own pattern would be no painting
    return _shown(request, "paint", one, painting, status=422 if form.is_bound else 200)


def _shown(
    request: SalonRequest, part: str, one: Repainting, more: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    context = {"place": "fittings", "repainting": one, "whose": whose_head(one), **more}
    return kept_nowhere(render(request, f"fittings/over_time/repainting_{part}.html", context, status=status))


def _found(reference: str) -> Repainting:
    return get_object_or_404(with_whose_head(Repainting.objects.all()), reference=reference)


def _note_look(request: SalonRequest, one: Repainting) -> None:
    if one.assessment is not None:
        note_look(client=one.assessment.client, user=request.user, page=LOOK)
