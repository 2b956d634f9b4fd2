"""Booking while she is on the telephone, and what becomes of an appointment."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.models import Client
from fittings.booking import mark_arrived, mark_done, mark_in_chair, mark_missed
from fittings.desk.day_asked import day_asked_for
from fittings.desk.forms import AppointmentForm, CancelForm, MoveForm
from fittings.models import Appointment
from salon.common.access import needs
from salon.current import SalonRequest

FOUND_AT_MOST = 12  # clients shown to choose from; more letters narrow the list


@needs("fittings.add_appointment")
@require_http_methods(["GET", "POST"])
def appointment_new(request: SalonRequest) -> HttpResponse:
    """First who, then when: the client is found, then the rest is asked on one form."""
    reference = request.GET.get("client", "")
    if not reference:
        asked = request.GET.get("q", "").strip()
        found = Client.objects.found_by(asked)[:FOUND_AT_MOST] if asked else Client.objects.none()
        return render(request, "fittings/appointment_who.html", {"place": "today", "asked": asked, "found": found})
    client = get_object_or_404(Client.objects.active(), reference=reference)
    initial = {"starts_on": day_asked_for(request.GET.get("day"), localdate()), "kind": request.GET.get("kind")}
    form = AppointmentForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_valid() and (appointment := form.book(client, by=request.user, at=now())):
        messages.success(request, f"Booked: {client}, {timezone.localtime(appointment.starts_at):%A %d %B, %H:%M}.")
        return redirect("appointment", appointment.reference)
    return render(request, "fittings/appointment_new.html", {"place": "today", "client": client, "form": form})


@needs("fittings.view_appointment")
@require_safe
def appointment_page(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    context = {
        "place": "today",
        "appointment": appointment,
        "has_begun": appointment.starts_at <= now(),
    }
    return render(request, "fittings/appointment.html", context)


@needs("fittings.change_appointment")
@require_http_methods(["GET", "POST"])
def appointment_move(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    form = MoveForm(request.POST if request.method == "POST" else None, appointment=appointment)
    if form.is_valid() and (moved := form.move(by=request.user, at=now())):
        messages.success(request, f"Moved to {timezone.localtime(moved.starts_at):%A %d %B, %H:%M}.")
        return redirect("appointment", reference)
    context = {"place": "today", "appointment": appointment, "form": form, "heading": "Move the appointment"}
    return render(request, "fittings/appointment_change.html", context)


@needs("fittings.change_appointment")
@require_http_methods(["GET", "POST"])
def appointment_cancel(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    form = CancelForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and form.cancel(appointment, by=request.user, at=now()):
        messages.success(request, "The appointment is cancelled and its time is free again.")
        return redirect("appointment", reference)
    context = {"place": "today", "appointment": appointment, "form": form, "heading": "Cancel the appointment"}
    return render(request, "fittings/appointment_change.html", context)


@needs("fittings.change_appointment")
@require_POST
def appointment_mark(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    try:
        match request.POST.get("state"):
            case Appointment.State.ARRIVED:
                mark_arrived(appointment=appointment, by=request.user, at=now())
            case Appointment.State.IN_CHAIR:
                mark_in_chair(appointment=appointment, by=request.user, at=now())
            case Appointment.State.DONE:
                mark_done(appointment=appointment, by=request.user, at=now())
            case Appointment.State.MISSED:
                mark_missed(appointment=appointment, by=request.user, at=now())
            case _:
                messages.error(request, "Choose arrived, in the chair, done or did not come.")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("appointment", reference)


def _appointment(reference: str) -> Appointment:
    return get_object_or_404(
        Appointment.objects.select_related("client", "kind", "stylist", "place", "closed_by", "booked_by"),
        reference=reference,
    )
