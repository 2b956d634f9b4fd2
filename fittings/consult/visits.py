"""Where a visit begins, and the page on which a stylist finds hers: the next client, what is open, what is finished."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, make_aware, now
from django.views.decorators.http import require_POST, require_safe

from clients.models import Client
from fittings.consult.step_page import visit
from fittings.consult.steps import where_it_stands
from fittings.models import Appointment, Fitting, TryOn
from fittings.models.kinds_and_places import Purpose
from fittings.visiting import begin_visit
from salon.common.access import needs
from salon.common.references import normalise_reference
from salon.current import SalonRequest

FINISHED_A_PAGE = 20


@needs("fittings.view_fitting")
@require_safe
def fittings_page(request: SalonRequest) -> HttpResponse:
    """Her next client of the day, the visits that are open, and the finished ones, newest first."""
    begins = make_aware(datetime.combine(localdate(), time.min))
    waiting = (
        Appointment.objects.between(begins, begins + timedelta(days=1))
        .filter(stylist=request.user, fitting__isnull=True)
        .exclude(state__in=(Appointment.State.DONE, Appointment.State.CANCELLED, Appointment.State.MISSED))
    )
    open_visits = Fitting.objects.open().select_related("client", "stylist", "appointment__kind")
    chosen = TryOn.objects.exclude(outcome=TryOn.Outcome.TRIED).select_related("candidate")
    finished = (
        Fitting.objects.finished()
        .select_related("client", "stylist")
        .prefetch_related(Prefetch("try_ons", chosen, to_attr="chosen"))
        .order_by("-finished_at", "-pk")
    )
    still_to_come = list(waiting)
    visits = sorted(open_visits, key=lambda one: one.stylist_id != request.user.pk)  # hers before the others'
    context = {
        "place": "fittings",
        "next_client": still_to_come[0] if still_to_come else None,
        "later": still_to_come[1:],
        "open_visits": visits,
        "finished": Paginator(finished, FINISHED_A_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "fittings/fittings.html", context)


@needs("fittings.view_fitting", "clients.view_health")
@require_safe
def fitting_page(request: SalonRequest, reference: str) -> HttpResponse:
    """Wherever the visit stands."""
    return redirect(where_it_stands(visit(reference)))


@needs("fittings.add_fitting", "clients.view_health")
@require_POST
def visit_begin(request: SalonRequest, reference: str) -> HttpResponse:
    """Begin a visit, or go on with the one that is open; one begun for a piece of hers leads back to its page."""
    client = get_object_or_404(Client.objects.active(), reference=reference)
    asked_for = request.POST.get("piece", "")  # compared here: no database is asked with what somebody made up
    piece = next((one for one in client.owned_pieces.all() if one.reference == asked_for), None) if asked_for else None
    already_open = Fitting.objects.open().filter(client=client).first()
    if already_open is not None:
        messages.info(request, f"A visit of {client} was already open; here it is.")
        return redirect(f"{piece.get_absolute_url()}#services" if piece else already_open.get_absolute_url())
    appointment = _booked_today(client) if piece else None
    if asked := request.POST.get("appointment"):
        try:
            appointment = get_object_or_404(Appointment, reference=normalise_reference(asked), client=client)
        except ValueError as slip:
            raise Http404(str(slip)) from slip
    try:
        fitting = begin_visit(
            client=client, stylist=request.user, at=now(), appointment=appointment, for_care=piece is not None
        )
    except ValidationError as refusal:
        for sentence in refusal.messages:
            messages.error(request, sentence)
        asks_consent = getattr(refusal, "code", "") == "no record consent"
        return redirect("client-consents" if asks_consent else "client", client.reference)
    return redirect(f"{piece.get_absolute_url()}#services" if piece else fitting.get_absolute_url())


def _booked_today(client: Client) -> Appointment | None:
    """What she is booked for today and has not begun; a consult begins from its own page."""
    begins = make_aware(datetime.combine(localdate(), time.min))
    begun_or_over = (Appointment.State.DONE, Appointment.State.CANCELLED, Appointment.State.MISSED)
    of_today = Appointment.objects.between(begins, begins + timedelta(days=1)).filter(client=client)
    waiting = of_today.filter(fitting__isnull=True).exclude(state__in=begun_or_over)
    return waiting.exclude(kind__purpose=Purpose.CONSULT).order_by("starts_at").first()
