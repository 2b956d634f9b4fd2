"""What becomes of an appointment: its page, moving it, cancelling it, marking it, and the deposit."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.looking import note_look_lately
from fittings.booking import (
    mark_arrived,
    mark_done,
    mark_in_chair,
    mark_missed,
    may_put_back,
    put_back,
    take_deposit,
)
from fittings.desk.board_units import units_to_lay_out
from fittings.desk.booking_form import typed_so_far
from fittings.desk.cancel_form import CancelForm
from fittings.desk.move_form import MoveForm
from fittings.desk.rules_of_visit import findings_of_visit
from fittings.desk.times_offered import TimeOffered
from fittings.desk.times_page import SHOWS, page_or_times, times_page
from fittings.desk.told import moment_told
from fittings.house_rules.views import units_of
from fittings.models import Appointment, Fitting
from fittings.readiness import missing_of
from fittings.till.money_forms import METHODS
from pieces.models import Sale
from salon.common.access import needs
from salon.common.money import format_minor
from salon.current import SalonRequest

State = Appointment.State
MARKS = {
    State.ARRIVED.value: mark_arrived,
    State.IN_CHAIR.value: mark_in_chair,
    State.DONE.value: mark_done,
    State.MISSED.value: mark_missed,
    State.BOOKED.value: put_back,
}


@needs("fittings.view_appointment")
@require_safe
def appointment_page(request: SalonRequest, reference: str) -> HttpResponse:
    appointment, at = _appointment(reference), now()
    together = (
        Appointment.objects.filter(series=appointment.series) if appointment.series else Appointment.objects.none()
    )
    context = {
        "place": "today",
        "appointment": appointment,
        "has_begun": appointment.starts_at <= at,
        "may_put_back": may_put_back(appointment, by=request.user, at=at),
        "missing": missing_of([appointment], at=at)[appointment.pk],
        "methods": METHODS,
        "owing": list(Sale.objects.owing().filter(client=appointment.client)),
        "visit": Fitting.objects.filter(appointment=appointment).first(),
        "changes": appointment.changes.select_related("by", "stylist", "place"),
        "reminders": appointment.reminders.all(),
        "together": together.order_by("starts_at"),
        **units_to_lay_out(appointment),
    }
    if request.user.has_perm("clients.view_health"):
        note_look_lately(client=appointment.client, user=request.user, page="what the rules say of a visit")
        context["findings"] = findings_of_visit(appointment, salon=request.salon, units=units_of(request))
    return render(request, "fittings/appointment.html", context)


@needs("fittings.change_appointment")
@require_http_methods(["GET", "POST"])
def appointment_move(request: SalonRequest, reference: str) -> HttpResponse:
    """A post moves it unless its button only asks to show times."""
    appointment, at = _appointment(reference), now()
    said = request.POST if request.method == "POST" else request.GET
    moves = request.method == "POST" and not SHOWS & said.keys()
    typed = {} if moves else typed_so_far(said, MoveForm)
    form = MoveForm(said if moves else None, appointment=appointment, initial=typed)
    if form.is_valid() and (moved := form.move(by=request.user, at=at)):
        messages.success(request, f"It stands at {moment_told(moved.starts_at)}, with {moved.stylist}, {moved.place}.")
        return redirect("appointment", reference)
    context = {
        "place": "today",
        "appointment": appointment,
        "form": form,
        "here": request.path,
        "nearest": [TimeOffered(free) for free in form.refused.nearest] if form.refused else [],
        "opens_own_time": form.was_written or bool(typed),
        **times_page(request, said, at=at, client=appointment.client, kind=appointment.kind, besides=appointment),
    }
    return page_or_times(request, "fittings/appointment_move.html", context)


@needs("fittings.change_appointment")
@require_http_methods(["GET", "POST"])
def appointment_cancel(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    if appointment.state == State.CANCELLED:  # a second press, or somebody else was quicker
        messages.info(request, "It is cancelled already; its time is free.")
        return redirect("appointment", reference)
    form = CancelForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and form.cancel(appointment, by=request.user, at=now()):
        messages.success(request, "The appointment is cancelled and its time is free again.")
        return redirect("appointment", reference)
    context = {"place": "today", "appointment": appointment, "form": form}
    return render(request, "fittings/appointment_cancel.html", context)


@needs("fittings.change_appointment")
@require_POST
def appointment_mark(request: SalonRequest, reference: str) -> HttpResponse:
    """Marked as it stands already, by a second press, it is left as it is."""
    appointment, state = _appointment(reference), request.POST.get("state", "")
    mark = MARKS.get(state)
    if mark is None:
        messages.error(request, "Choose arrived, in the chair, done or did not come.")
    elif state != appointment.state:
        try:
            mark(appointment=appointment, by=request.user, at=now())
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
    return redirect("appointment", reference)


@needs("fittings.change_appointment", "pieces.add_payment")
@require_POST
def appointment_deposit(request: SalonRequest, reference: str) -> HttpResponse:
    """Taken once, by the way that was pressed: a second press finds it paid and changes nothing."""
    appointment = _appointment(reference)
    if appointment.deposit_paid_at:
        messages.info(request, "The deposit is taken already.")
        return redirect("appointment", reference)
    method = request.POST.get("method", "")
    if method not in dict(METHODS):
        messages.error(request, "Say how the deposit was paid: cash, card, bank transfer or another way.")
        return redirect("appointment", reference)
    try:
        paid = take_deposit(
            appointment=appointment, method=method, salon=request.salon, by=request.user, at=now()
        ).deposit_payment
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        if paid:
            messages.success(
                request, f"Deposit taken: {format_minor(paid.amount_minor, paid.currency)}. {paid.receipt}."
            )
    return redirect("appointment", reference)


def _appointment(reference: str) -> Appointment:
    return get_object_or_404(
        Appointment.objects.select_related(
            "client", "kind", "stylist", "place", "closed_by", "booked_by", "awaits", "deposit_payment__receipt"
        ),
        reference=reference,
    )
