"""How each piece did on the head, which one is taken, and the end of the visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.choosing.candidate_views import consulting
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.choosing.forms import DecisionForm, FinishForm, TryOnForm
from fittings.models import Candidate, Fitting
from fittings.owned.taking_home import chosen_to_take_home
from fittings.trying import log_try_on
from fittings.visiting import was_for_care
from salon.current import SalonRequest, reader_units

if TYPE_CHECKING:
    from django.db.models import QuerySet


@consulting
@require_safe
def try_ons(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    tried = [
        (candidate, TryOnForm(candidate=candidate, units=reader_units(request.user, request.salon)))
        for candidate in _to_try(fitting)
    ]
    return render(request, "fittings/try_ons.html", page_of(request, fitting, "try-ons", tried=tried))


@consulting
@require_POST
def try_on_log(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    fitting = visit_of(request, reference)
    candidate = get_object_or_404(_to_try(fitting), pk=pk)
    form = TryOnForm(request.POST, candidate=candidate, units=reader_units(request.user, request.salon))
    if form.is_valid():
        try:
            log_try_on(fitting=fitting, candidate=candidate, by=request.user, **form.cleaned_data)
            messages.success(request, f"Kept how {candidate.kept.piece} did.")
            return redirect("try-ons", reference)
        except ValidationError as refusal:
            form.refuse(refusal)
    units = reader_units(request.user, request.salon)
    tried = [
        (other, form if other.pk == candidate.pk else TryOnForm(candidate=other, units=units))
        for other in _to_try(fitting)
    ]
    return render(request, "fittings/try_ons.html", page_of(request, fitting, "try-ons", tried=tried))


@consulting
@require_http_methods(["GET", "POST"])
def decision(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    if request.method == "POST" and fitting.is_finished:
        messages.error(request, "This visit is finished; what was decided in it stands.")
        return redirect("decision", reference)
    form = DecisionForm(request.POST if request.method == "POST" else None, fitting=fitting, request=request)
    if form.is_valid() and form.decide(by=request.user):
        messages.success(request, "The decision is kept. You can change it until the visit is finished.")
        return redirect("decision", reference)
    context = page_of(
        request,
        fitting,
        "decision",
        form=form,
        finish_form=FinishForm.blank(on=localdate(), for_care=False),
        planned=list(fitting.services.standing().select_related("candidate", "owned_piece__unit__variant__piece")),
        is_decided=bool(form.chosen_now or fitting.none_chosen_because),
        was_for_care=was_for_care(fitting),
        chosen=chosen_to_take_home(fitting),
        today=localdate(),
    )
    return render(request, "fittings/decision.html", context)


@consulting
@require_POST
def visit_finish(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    form = FinishForm(request.POST)
    if form.is_valid() and form.finish(fitting, by=request.user, at=now()):
        if not fitting.none_chosen_because and was_for_care(fitting):
            messages.success(request, "The visit is finished. Her papers are printed from the page of each piece.")
            return redirect("services", reference)
        messages.success(request, "The visit is finished. The summary can be printed.")
        return redirect("consult-summary", reference)
    for sentences in form.errors.values():
        for sentence in sentences:
            messages.error(request, str(sentence))
    return redirect("services" if was_for_care(fitting) else "decision", reference)


def _to_try(fitting: Fitting) -> QuerySet[Candidate]:
    return fitting.candidates.prefetch_related("try_ons__unit", "try_ons__logged_by")
