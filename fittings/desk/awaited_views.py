"""Pieces on their way: the list, one more for a client, and what became of one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST

from fittings.desk.awaited_form import AwaitedForm, AwaitedMarkForm
from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.models import Appointment, AwaitedPiece
from salon.common.access import needs
from salon.current import SalonRequest, reader_units

PAGE_LENGTH = 25
SHOWN = {  # what the list shows, by the word in its address
    "": ("On their way", Q(in_at__isnull=True, given_up_at__isnull=True), ("expected_on", "pk")),
    "in": ("Came in", Q(in_at__isnull=False), ("-in_at", "-pk")),
    "unwanted": ("No longer wanted", Q(given_up_at__isnull=False), ("-given_up_at", "-pk")),
}


@needs("fittings.view_awaitedpiece")
@require_http_methods(["GET", "POST"])
def awaited_pieces(request: SalonRequest) -> HttpResponse:
    """The list; with a client in the address also the form for one more of hers, which a post notes."""
    may_add, notes = request.user.has_perm("fittings.add_awaitedpiece"), request.method == "POST"
    if notes and not may_add:
        raise PermissionDenied
    if may_add and (notes or "new" in request.GET) and not request.GET.get("client"):
        return ask_who(request, heading="A piece on its way")
    client = client_asked_for(request) if may_add else None
    form = None
    if client:
        form = AwaitedForm(
            request.POST if notes else None,
            client=client,
            sees_fittings=request.user.has_perm("fittings.view_fitting"),
            units=reader_units(request.user, request.salon),
        )
        if form.is_valid() and (piece := form.note(by=request.user, at=now())):
            messages.success(request, f"Noted: {piece} for {client}.")
            return redirect("awaited-pieces")
    shown = request.GET.get("show", "")
    context = {"place": "today", "client": client, "form": form, "today": localdate(), **_listed(shown, request)}
    return render(request, "fittings/desk/awaited.html", context)


@needs("fittings.change_awaitedpiece")
@require_POST
def awaited_piece_mark(request: SalonRequest, pk: int) -> HttpResponse:
    awaited = get_object_or_404(AwaitedPiece.objects.select_related("client", "order_line__order"), pk=pk)
    try:
        messages.success(request, AwaitedMarkForm(request.POST).do(awaited, by=request.user, at=now()))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("awaited-pieces")


def _listed(shown: str, request: SalonRequest) -> dict[str, Any]:
    shown = shown if shown in SHOWN else ""
    heading, which, order = SHOWN[shown]
    page = _page_asked_for(request)
    booked = Count("appointments", filter=Q(appointments__state__in=Appointment.STANDING))
    rows = AwaitedPiece.objects.filter(which).select_related(
        "client", "noted_by", "in_by", "given_up_by", "order_line__order"
    )
    start = (page - 1) * PAGE_LENGTH
    pieces = list(rows.annotate(booked=booked).order_by(*order)[start : start + PAGE_LENGTH + 1])
    return {
        "shown": shown,
        "heading": heading,
        "choices": [(word, label) for word, (label, _, _) in SHOWN.items()],
        "pieces": pieces[:PAGE_LENGTH],
        "page": page,
        "has_more": len(pieces) > PAGE_LENGTH,
    }


def _page_asked_for(request: SalonRequest) -> int:
    """The page in the address; the first when it is none that can be meant."""
    asked = request.GET.get("page", "")
    return int(asked) if asked.isdecimal() and len(asked) < 6 and int(asked) > 0 else 1
