"""Logging a service that was done, saying how a planned one turned out, and correcting one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods

from clients.models import Consent
from fittings.choosing.candidate_views import consulting
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.models import Fitting, Service
from fittings.planning import assessment_for
from fittings.services.forms_of_kinds import LOGGED_KINDS, SERVICE_FORMS
from fittings.services.on_record import ASKED_ANEW, as_recorded, repeated, to_repeat, with_all_that_is_told
from fittings.services.service_form import ServiceForm
from fittings.services.targets import targets_of
from fittings.services.told import told
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest, reader_units
from salon.models import Units


@consulting
@require_http_methods(["GET", "POST"])
def service_log(request: SalonRequest, reference: str, kind: str) -> HttpResponse:
    """A change asks the rules at once (a part); `log` keeps it when they let it pass."""
    fitting = visit_of(request, reference)
    if kind not in LOGGED_KINDS:
        raise Http404("There is no such kind of service.")
    if fitting.is_finished:
        messages.info(request, "This visit is finished. Begin another one to log what is done now.")
        return redirect(fitting.client)
    if wait := _examine_first(request, fitting):
        return wait
    piece = request.GET.get("piece", "")
    asks_which = kind == Service.Kind.CLIPS and not piece and request.method == "GET"
    if asks_which and (which := _which_piece(request, fitting, kind)):
        return which
    again = _service_to_repeat(request, fitting, kind)
    form = _form(request, fitting, kind, piece=piece, initial=repeated(again) if again else None)
    return _answer(
        request,
        fitting,
        form,
        done=f"Logged: {Service.Kind(kind).label.lower()}.",
        again=again,
        asked_anew=ASKED_ANEW,
        before=to_repeat(fitting, kind, piece, imperial=_imperial(request)) if request.method == "GET" else [],
        log_address=reverse("service-log", args=[reference, kind]),
    )


@consulting
@require_http_methods(["GET", "POST"])
def service_done(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    """A planned service was done: the same questions, answered as they were planned."""
    fitting = visit_of(request, reference)
    service = _service_of(fitting, pk)
    if service.is_done:
        messages.info(request, "This is logged as done already.")
        return redirect("services", reference)
    if fitting.is_finished:
        messages.info(request, "This visit is finished; what was planned in it stands as planned.")
        return redirect("services", reference)
    if wait := _examine_first(request, fitting):
        return wait
    form = _form(request, fitting, service.kind, service=service, initial=as_recorded(service))
    return _answer(request, fitting, form, done=f"Done: {service.get_kind_display().lower()}.", planned=service)


@consulting
@require_http_methods(["GET", "POST"])
def service_correct(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    """The same questions about what was really done; also once the visit is finished."""
    fitting = visit_of(request, reference)
    service = _service_of(fitting, pk)
    if not Service.objects.done().filter(pk=pk).exists():
        messages.info(request, "Only what was done and stands today is corrected.")
        return redirect("services", reference)
    form = _form(request, fitting, service.kind, corrects=service, initial=as_recorded(service))
    return _answer(
        request,
        fitting,
        form,
        done="Corrected; the first entry stays beside it.",
        corrects=service,
        told=told(service, imperial=_imperial(request)),
    )


def _form(request: SalonRequest, fitting: Fitting, kind: str, **how: Any) -> ServiceForm:
    return SERVICE_FORMS[kind](request.POST or None, fitting=fitting, request=request, at=now(), on=localdate(), **how)


def _answer(request: SalonRequest, fitting: Fitting, form: ServiceForm, *, done: str, **more: Any) -> HttpResponse:
    kept = form.log(by=request.user) if form.is_valid() and "log" in request.POST else None
    if kept:
        messages.success(request, done)
        return redirect("services", fitting.reference)
    context = page_of(request, fitting, "decision", form=form, kind=Service.Kind(form.kind), **more)
    context["may_photograph"] = Consent.objects.allows_photos(fitting.client)
    return render_page_or_part(request, "fittings/services/service.html", "fittings/services/_form.html", context)


def _examine_first(request: SalonRequest, fitting: Fitting) -> HttpResponse | None:
    """Where she goes on when nothing was ever signed off for the rules to read."""
    try:
        assessment_for(fitting)
    except ValidationError as refusal:
        messages.info(request, " ".join(refusal.messages))
        return redirect("fitting", fitting.reference)
    return None


def _which_piece(request: SalonRequest, fitting: Fitting, kind: str) -> HttpResponse | None:
    """A page that asks which piece, where there is more than one."""
    pieces = [one for one in targets_of(fitting) if one.is_piece]
    if len(pieces) < 2:  # one piece needs no question
        return None
    context = page_of(request, fitting, "decision", kind=Service.Kind(kind), pieces=pieces)
    return render(request, "fittings/services/which_piece.html", context)


def _service_to_repeat(request: SalonRequest, fitting: Fitting, kind: str) -> Service | None:
    asked = request.GET.get("repeat", "")
    if not (asked.isascii() and asked.isdecimal() and len(asked) <= 18):
        return None
    hers = Service.objects.done().filter(fitting__client=fitting.client_id, kind=kind)
    return with_all_that_is_told(hers).filter(pk=int(asked)).first()


def _service_of(fitting: Fitting, pk: int) -> Service:
    service: Service = get_object_or_404(with_all_that_is_told(fitting.services.all()), pk=pk)
    return service


def _imperial(request: SalonRequest) -> bool:
    return reader_units(request.user, request.salon) == Units.IMPERIAL
