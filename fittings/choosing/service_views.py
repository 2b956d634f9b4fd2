"""Services of a visit: those planned, checked against the rules before they are kept, and those that were done."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.choosing.candidate_views import consulting
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.choosing.forms import FinishForm
from fittings.models import OwnedPiece, Service
from fittings.planning import assessment_for, remove_service
from fittings.services.forms_of_kinds import PLANNED_KINDS, SERVICE_FORMS
from fittings.services.on_record import kinds_to_log, shown, with_all_that_is_told
from fittings.visiting import was_for_care
from salon.common.htmx import wants_part
from salon.current import SalonRequest, reader_units
from salon.models import Units


@consulting
@require_safe
def services(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    imperial = reader_units(request.user, request.salon) == Units.IMPERIAL
    of_visit = with_all_that_is_told(fitting.services.standing().select_related("corrects__done_by"))
    ends_here = not fitting.is_finished and not fitting.none_chosen_because and was_for_care(fitting)
    context = page_of(
        request,
        fitting,
        "services",
        pieces=OwnedPiece.objects.current().with_what_they_are().filter(client=fitting.client_id),
        finish_form=FinishForm.blank(on=localdate(), for_care=True) if ends_here else None,
        planned=of_visit.planned(),
        done=shown(of_visit.done(), imperial=imperial),
        plan_kinds=[(kind, Service.Kind(kind).label) for kind in PLANNED_KINDS],
        log_kinds=kinds_to_log(),
    )
    return render(request, "fittings/services.html", context)


@consulting
@require_http_methods(["GET", "POST"])
def service_plan(request: SalonRequest, reference: str, kind: str) -> HttpResponse:
    """A change asks the rules at once (a part); `plan` keeps it when they let it pass."""
    fitting = visit_of(request, reference)
    if kind not in PLANNED_KINDS:
        raise Http404("There is no such kind of service.")
    try:
        assessment_for(fitting)
    except ValidationError as refusal:
        messages.info(request, " ".join(refusal.messages))
        return redirect("fitting", reference)
    form = SERVICE_FORMS[kind](
        request.POST or None, fitting=fitting, request=request, at=now(), on=localdate(), plans=True
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
