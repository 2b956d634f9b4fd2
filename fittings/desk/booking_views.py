"""Booking while she is on the telephone: who, what for, and one press on a time."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from clients.models import Client
from fittings.desk.booking_form import AppointmentForm, typed_so_far
from fittings.desk.slot import SLOT, slot_in
from fittings.desk.times_offered import TimeOffered
from fittings.desk.times_page import SHOWS, page_or_times, times_page, upcoming_of
from fittings.desk.told import told_of
from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.models import Appointment
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.add_appointment")
@require_http_methods(["GET", "POST"])
def appointment_new(request: SalonRequest) -> HttpResponse:
    """Who, then what for, then a time; a post books unless its button only asks to show times."""
    client = client_asked_for(request)
    if client is None:
        return ask_who(request, heading="Book")
    said, at = (request.POST if request.method == "POST" else request.GET), now()
    books = request.method == "POST" and not SHOWS & said.keys()
    form = AppointmentForm(
        said if books else None, client=client, initial={} if books else typed_so_far(said, AppointmentForm)
    )
    if form.is_valid() and (appointment := form.book(by=request.user, at=at)):
        _say_booked(request, form, appointment)
        return redirect("appointment", appointment.reference)
    slot = slot_in(request.GET)
    times = times_page(request, said, at=at, client=client)
    slot_free = slot.free_for(times["kind"], client, at=at) if slot and times["kind"] else []
    context = {
        "place": "today",
        "client": client,
        "form": form,
        "here": _here(request, client),
        "upcoming": upcoming_of(client, at),
        "slot": slot,
        "slot_times": [TimeOffered(free) for free in slot_free],
        "nearest": [TimeOffered(free) for free in form.refused.nearest] if form.refused else [],
        "opens_own_time": form.was_written or "show" in said or bool(slot and times["kind"] and not slot_free),
        **times,
    }
    return page_or_times(request, "fittings/appointment_new.html", context)


def _here(request: SalonRequest, client: Client) -> str:
    """The address of this booking without the wishes, which the page sends along anew."""
    kept = [(name, request.GET[name]) for name in SLOT if request.GET.get(name)]
    return f"{request.path}?{urlencode([('client', client.reference), *kept])}"


def _say_booked(request: SalonRequest, form: AppointmentForm, appointment: Appointment) -> None:
    if form.is_what_was_asked(appointment):
        messages.success(request, f"Booked: {told_of(appointment)}.")
    else:
        messages.warning(
            request,
            f"That page had booked her already: {told_of(appointment)}. Nothing was changed. "
            "Move this one, or begin a new booking for a second visit.",
        )
