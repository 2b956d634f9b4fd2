"""The log of messages for the desk, what a person settles there, and the page on which a client stops them."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.timezone import now
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.messages.log import CAN_BE_TRIED, CHOICES, SIGNS, SO_FAR, messages_shown
from fittings.messages.stopping import client_of
from fittings.models import Reminder
from fittings.reminding import settle, stop_telling, try_again
from salon.common.access import needs
from salon.common.secrets_in_addresses import kept_nowhere
from salon.current import SalonRequest

PAGE_LENGTH = 50
TO_SETTLE_AT_MOST = 20  # shown at once; those settled make room for the next
LAST_PAGE = 10_000


@needs("fittings.view_reminder")
@require_safe
def log(request: SalonRequest) -> HttpResponse:
    at = now()
    state = request.GET.get("state", SO_FAR)
    state = state if state in dict(CHOICES) else SO_FAR
    page = _page_asked_for(request)
    start = (page - 1) * PAGE_LENGTH
    rows = list(messages_shown(state, at=at)[start : start + PAGE_LENGTH + 1])
    unsettled = messages_shown(Reminder.State.UNKNOWN, at=at)
    context = {
        "place": "today",
        "rows": _told(rows[:PAGE_LENGTH]),
        "unsettled": _told(list(unsettled[:TO_SETTLE_AT_MOST])),
        "unsettled_count": unsettled.count(),
        "state": state,
        "choices": CHOICES,
        "page": page,
        "has_more": len(rows) > PAGE_LENGTH,
    }
    return render(request, "fittings/messages/messages.html", context)


@needs("fittings.change_reminder")
@require_POST
def settle_one(request: SalonRequest, pk: int) -> HttpResponse:
    reminder = get_object_or_404(Reminder, pk=pk)
    answer = request.POST.get("went")
    if answer not in ("yes", "no"):
        messages.error(request, "Say whether the message went out or not.")
        return redirect(_back(request))
    try:
        settle(reminder=reminder, was_sent=answer == "yes", by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"Settled: the message {'went' if answer == 'yes' else 'did not go'} out.")
    return redirect(_back(request))


@needs("fittings.change_reminder")
@require_POST
def again(request: SalonRequest, pk: int) -> HttpResponse:
    reminder = get_object_or_404(Reminder, pk=pk)
    try:
        try_again(reminder=reminder, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "The message goes out with the next sending, within a few minutes.")
    return redirect(_back(request))


@csrf_exempt  # the token is the proof; a mail program posts here without ever having opened the page (RFC 8058)
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def stop_messages(request: HttpRequest, token: str) -> HttpResponse:
    """Opening it changes nothing, for programs that look at mail open every link; the button, or a mail program's own
    button, stops the messages. Doing it twice says the same."""
    client = client_of(token)
    if client is None:
        return kept_nowhere(render(request, "404.html", status=404))
    if request.method == "POST":
        stop_telling(client=client, at=now())
    context = {"stopped": request.method == "POST"}
    return kept_nowhere(render(request, "fittings/messages/stop.html", context))


def _told(rows: list[Reminder]) -> list[dict[str, object]]:
    return [{"message": row, "sign": SIGNS[row.state], "can_be_tried": row.state in CAN_BE_TRIED} for row in rows]


def _page_asked_for(request: SalonRequest) -> int:
    asked = request.GET.get("page", "1")
    return min(int(asked), LAST_PAGE) if asked.isascii() and asked.isdecimal() and int(asked[:9]) else 1


def _back(request: SalonRequest) -> str:
    """The page of the log that the button was on."""
    came_from = request.headers.get("Referer", "")
    here = url_has_allowed_host_and_scheme(came_from, {request.get_host()}, require_https=request.is_secure())
    log_address = request.build_absolute_uri(reverse("messages"))
    return came_from if here and came_from.split("?")[0] == log_address else log_address
