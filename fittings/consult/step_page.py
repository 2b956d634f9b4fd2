"""One page of one step: shows it, saves it, and answers in JSON when it saves itself (static/js/auto-save.js)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.cache import add_never_cache_headers, patch_vary_headers
from django.utils.timezone import localdate, localtime

from clients.looking import note_look
from clients.models import Assessment
from fittings.consult.beside import nothing_beside
from fittings.consult.step_form import StepForm
from fittings.consult.steps import step_after, steps_of
from fittings.models import Fitting
from salon.common.lengths import LengthUnit
from salon.current import SalonRequest, reader_units
from salon.models import Units


@dataclass(frozen=True)
class StepPage:
    """What is particular to one step's page; `beside` feeds the part that follows every save."""

    key: str
    title: str
    form: type[StepForm]
    template: str = "fittings/consult/step.html"
    beside_part: str = ""
    beside: Callable[[StepForm], dict[str, Any]] = nothing_beside
    more: Callable[[StepForm], dict[str, Any]] = nothing_beside


def show_step(request: SalonRequest, reference: str, page: StepPage) -> HttpResponse:
    """The step's page, or what became of saving it."""
    fitting = visit(reference)
    assessment = assessment_of(fitting)
    if request.method == "GET" and not assessment.is_draft:
        return redirect("assessment", assessment.reference)
    if not saves_itself(request):  # opening the page was the look
        note_look(client=fitting.client, user=request.user, page=f"Assessment: {page.title.lower()}")
    unit, currency = unit_of(request), request.salon.currency
    form = page.form(
        request.POST if request.method == "POST" else None, assessment=assessment, unit=unit, currency=currency
    )
    saved = form.keep(by=request.user, on=localdate()) if form.is_valid() else None
    if saved is not None:
        saved.client, saved.supersedes = assessment.client, assessment.supersedes  # known; spares two queries
        if saves_itself(request):
            return _in_json(request, page, page.form(None, assessment=saved, unit=unit, currency=currency), "saved")
        following = step_after(steps_of(fitting), page.key)
        return redirect(following.url if request.POST.get("go") == "next" else request.path)
    if saves_itself(request):
        return _in_json(request, page, form, "versions" if form.stale_sentence else "refused")
    context = visit_context(fitting, page.key) | {
        "title": page.title,
        "form": form,
        "starts_from": form.starts_from,
        "beside_part": page.beside_part,
        "beside": page.beside(form),
        **page.more(form),
    }
    status = 200 if not form.is_bound else 409 if form.stale_sentence else 422
    return kept_nowhere(render(request, page.template, context, status=status))


def saves_itself(request: SalonRequest) -> bool:
    return request.headers.get("Accept") == "application/json"


def kept_nowhere(response: HttpResponse) -> HttpResponse:
    """Health facts stay out of every cache, and going back shows the step as it is now."""
    add_never_cache_headers(response)
    patch_vary_headers(response, ["Accept"])
    return response


def visit(reference: str) -> Fitting:
    """The visit with all that its pages show of client and assessment, in one query."""
    visits = Fitting.objects.select_related("client", "stylist", "assessment__client", "assessment__supersedes")
    return get_object_or_404(visits, reference=reference)


def assessment_of(fitting: Fitting) -> Assessment:
    if fitting.assessment is None:
        raise Http404("This visit has no assessment.")
    return fitting.assessment


def visit_context(fitting: Fitting, here: str) -> dict[str, Any]:
    """What the head of every page of a visit needs."""
    steps = steps_of(fitting)
    return {
        "place": "fittings",
        "fitting": fitting,
        "client": fitting.client,
        "assessment": fitting.assessment,
        "steps": steps,
        "here": here,
        "following": step_after(steps, here),
    }


def unit_of(request: SalonRequest) -> LengthUnit:
    return "in" if reader_units(request.user, request.salon) == Units.IMPERIAL else "cm"


def _in_json(request: SalonRequest, page: StepPage, form: StepForm, outcome: str) -> HttpResponse:
    """Saved when; or refused, and why beside which field; or both versions of what was saved twice.

    Always with status 200: a half-typed value on its way is no failure that a browser should report.
    """
    revision, base = form.starts_from
    answer: dict[str, Any] = {"outcome": outcome, "revision": revision, "base": base}
    if outcome == "versions":
        versions = {"form": form, "by_script": True}
        answer["versions"] = render_to_string("fittings/consult/_two_versions.html", versions, request)
    elif outcome == "refused":
        answer["errors"] = form.errors_by_field()
    else:
        answer["saved_at"] = f"{localtime(form.assessment.saved_at):%H:%M}"
        if page.beside_part:
            answer["beside"] = render_to_string(page.beside_part, {"beside": page.beside(form)}, request)
    return kept_nowhere(JsonResponse(answer))
