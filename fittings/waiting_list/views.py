"""Who waits, what each could have, and who takes the time that somebody gave back."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.desk.chosen_time import code_of
from fittings.desk.told import told_of
from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.models import Appointment, WaitingEntry
from fittings.waiting import who_could_take
from fittings.waiting_list.forms import OffForm, TakenForm, WishOnListForm
from fittings.waiting_list.suiting import suiting_times
from salon.common.access import needs
from salon.current import SalonRequest

A_PAGE, ASKED_AT_MOST = 25, 20


@needs("fittings.view_waitingentry")
@require_safe
def waiting_list(request: SalonRequest) -> HttpResponse:
    """Those who wait, the longest first."""
    entries = WaitingEntry.objects.waiting().select_related("client", "kind", "stylist", "instead_of")
    page = Paginator(entries, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "fittings/waiting_list/list.html", {"place": "today", "page": page})


@needs("fittings.add_waitingentry")
@require_http_methods(["GET", "POST"])
def waiting_new(request: SalonRequest) -> HttpResponse:
    client = client_asked_for(request)
    if client is None:
        return ask_who(request, heading="Put on the waiting list")
    initial = {"earliest_on": localdate(), "kind": request.GET.get("kind", "")[:9]}
    form = WishOnListForm(request.POST if request.method == "POST" else None, client=client, at=now(), initial=initial)
    if form.is_valid() and (entry := form.put(by=request.user)):
        messages.success(request, f"{client} is on the waiting list for: {entry.kind}.")
        return redirect("waiting", entry.reference)
    return render(request, "fittings/waiting_list/new.html", {"place": "today", "client": client, "form": form})


@needs("fittings.view_waitingentry")
@require_safe
def waiting(request: SalonRequest, reference: str) -> HttpResponse:
    return _page(request, _entry(reference))


@needs("fittings.change_waitingentry", "fittings.add_appointment")
@require_POST
def waiting_book(request: SalonRequest, reference: str) -> HttpResponse:
    entry = _entry(reference)
    form = TakenForm(request.POST)
    if form.is_valid() and (appointment := form.book(entry, by=request.user, at=now())):
        messages.success(request, f"Booked: {told_of(appointment)}.")
        return redirect("appointment", appointment.reference)
    return _page(request, _entry(reference), taken=form)


@needs("fittings.change_waitingentry")
@require_POST
def waiting_off(request: SalonRequest, reference: str) -> HttpResponse:
    entry = _entry(reference)
    form = OffForm(request.POST)
    if form.is_valid() and form.take_off(entry, by=request.user, at=now()):
        messages.success(request, f"{entry.client} is off the waiting list.")
        return redirect("waiting-list")
    return _page(request, _entry(reference), off=form)


@needs("fittings.view_waitingentry", "fittings.change_appointment")
@require_safe
def appointment_refill(request: SalonRequest, reference: str) -> HttpResponse:
    """Who could take the time of an appointment that was cancelled or missed, the best fit first."""
    found = Appointment.objects.select_related("client", "kind", "stylist", "place")
    appointment = get_object_or_404(found, reference=reference)
    fits = [] if appointment.is_standing else who_could_take(appointment=appointment, at=now())
    context = {
        "place": "today",
        "appointment": appointment,
        "fits": [(fit, code_of(fit.starts_at, fit.stylist, fit.place)) for fit in fits[:ASKED_AT_MOST]],
        "more": max(0, len(fits) - ASKED_AT_MOST),
    }
    return render(request, "fittings/waiting_list/refill.html", context)


def _page(
    request: SalonRequest, entry: WaitingEntry, *, taken: TakenForm | None = None, off: OffForm | None = None
) -> HttpResponse:
    is_waiting = entry.state == WaitingEntry.State.WAITING
    context = {
        "place": "today",
        "entry": entry,
        "is_waiting": is_waiting,
        "days": suiting_times(entry, at=now()) if is_waiting else [],
        "taken": taken,
        "off": off or OffForm(),
    }
    return render(request, "fittings/waiting_list/wish.html", context)


def _entry(reference: str) -> WaitingEntry:
    found = WaitingEntry.objects.select_related(
        "client", "kind", "stylist", "made_by", "closed_by", "booked_as", "instead_of__kind"
    )
    return get_object_or_404(found, reference=reference)
