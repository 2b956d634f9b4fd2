"""Today and any other day: its page, the part of it that refreshes, and what is done on it without leaving it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, localtime, now
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import trigger_client_event

from fittings.booking import mark_arrived, mark_done, mark_in_chair, mark_missed
from fittings.desk.board_day import board_of
from fittings.desk.board_moves import MoveOnBoardForm, Refused, Said
from fittings.desk.day import BY_PLACE, BY_STYLIST, DayBoard
from fittings.desk.day_asked import day_asked_for
from fittings.models import Appointment
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest, reader_units

PAGE, PART = "fittings/today.html", "fittings/desk/_board.html"
MARKS = {
    Appointment.State.ARRIVED.value: mark_arrived,
    Appointment.State.IN_CHAIR.value: mark_in_chair,
    Appointment.State.DONE.value: mark_done,
    Appointment.State.MISSED.value: mark_missed,
}


@needs("fittings.view_appointment")
@require_safe
def today(request: SalonRequest) -> HttpResponse:
    return render(request, PAGE, _context(request, _board(request)))


@needs("fittings.view_appointment")
@require_safe
def today_board(request: SalonRequest) -> HttpResponse:
    """The part that refreshes; 204 and no part while all that it shows is as the page already has it (`stamp`)."""
    board = _board(request)
    if wants_part(request) and request.GET.get("stamp") == board.stamp:
        return _seen(HttpResponse(status=204))
    return _seen(render_page_or_part(request, PAGE, PART, _context(request, board)))


@needs("fittings.change_appointment")
@require_POST
def board_move(request: SalonRequest, reference: str) -> HttpResponse:
    form = MoveOnBoardForm(request.POST, appointment=_appointment(reference))
    told = form.move(by=request.user, at=now())
    if isinstance(told, Refused):
        return answer(request, refused=told)
    return answer(request, said=told)


@needs("fittings.change_appointment")
@require_POST
def board_mark(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = _appointment(reference)
    mark = MARKS.get(request.POST.get("state", ""))
    if mark is None:
        says = "Choose arrived, in the chair, done or did not come."
        return answer(request, said=Said(reference, says, is_refusal=True))
    try:
        marked = mark(appointment=appointment, by=request.user, at=now())
    except ValidationError as refusal:
        return answer(request, said=Said(reference, " ".join(refusal.messages), is_refusal=True))
    return answer(request, said=Said(reference, f"{appointment.client}: {marked.get_state_display().lower()}."))


def answer(request: SalonRequest, *, said: Said | None = None, refused: Refused | None = None) -> HttpResponse:
    """The board as it is now, with what is to be told; without a script the whole page."""
    context = {**_context(request, _board(request)), "said": said, "refused": refused}
    if wants_part(request):
        told = said.says if said else f"{refused.name} is not moved: {' '.join(refused.reasons)}" if refused else ""
        return _seen(render(request, PART, {**context, "swapped": True}), says=told)
    if refused:
        return render(request, PAGE, context)
    if said:
        (messages.error if said.is_refusal else messages.success)(request, said.says)
    board: DayBoard = context["board"]
    return redirect(f"{reverse('today')}?{board.query}")


def _board(request: SalonRequest) -> DayBoard:
    by = BY_STYLIST if request.GET.get("by") == BY_STYLIST else BY_PLACE
    day = day_asked_for(request.GET.get("day"), localdate())
    return board_of(day=day, by=by, reader=request.user, units=reader_units(request.user, request.salon), at=now())


def _context(request: SalonRequest, board: DayBoard) -> dict[str, Any]:
    return {
        "place": "today",
        "board": board,
        "as_of": f"{localtime(now()):%H:%M}",
        "day_before": board.day - timedelta(days=1),
        "day_after": board.day + timedelta(days=1),
        "may_change": request.user.has_perm("fittings.change_appointment"),
        "may_lay_out": request.user.has_perm("fittings.change_unittotry"),
    }


def _seen(response: HttpResponse, says: str = "") -> HttpResponse:
    """Tells the page as of when it is, also where nothing has changed."""
    response["Cache-Control"] = "no-store"
    return trigger_client_event(response, "board-seen", {"at": f"{localtime(now()):%H:%M}", "says": says})


def _appointment(reference: str) -> Appointment:
    return get_object_or_404(
        Appointment.objects.select_related("client", "kind", "stylist", "place"), reference=reference
    )
