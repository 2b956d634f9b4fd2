"""Planned services, checked against the rules before they are kept."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.choosing.candidate_views import consulting
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.choosing.service_forms import SERVICE_FORMS, ServiceForm
from fittings.models import Service
from fittings.planning import remove_service
from salon.common.htmx import wants_part
from salon.current import SalonRequest


@consulting
@require_safe
def services(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    planned = fitting.services.select_related("candidate", "planned_by").prefetch_related("overrides__owner")
    context = page_of(request, fitting, "decision", planned=planned, kinds=Service.Kind.choices)
    return render(request, "fittings/services.html", context)


@consulting
@require_http_methods(["GET", "POST"])
def service_plan(request: SalonRequest, reference: str, kind: str) -> HttpResponse:
    """A change asks the rules at once (a part); `plan` keeps it when they let it pass."""
    fitting = visit_of(request, reference)
    if kind not in SERVICE_FORMS:
        raise Http404("There is no such kind of service.")
    if fitting.assessment is None or fitting.assessment.is_draft:
        messages.info(request, "Sign the assessment off first; the rules read what it says.")
        return redirect("fitting", reference)
    form: ServiceForm = SERVICE_FORMS[kind](
        request.POST or None, fitting=fitting, request=request, at=now(), on=localdate()
    )
    if request.method == "POST" and form.is_valid() and "plan" in request.POST and form.plan(by=request.user):
        messages.success(request, f"Planned: {Service.Kind(kind).label.lower()}.")
        return redirect("services", reference)
    context = page_of(request, fitting, "decision", form=form, kind=Service.Kind(kind))
    page, part = "fittings/service_plan.html", "fittings/_service_form.html"
    return render(request, part if wants_part(request) else page, context)


@consulting
@require_POST
def service_remove(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    fitting = visit_of(request, reference)
    try:
        remove_service(service=get_object_or_404(fitting.services.select_related("fitting"), pk=pk))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("services", reference)
