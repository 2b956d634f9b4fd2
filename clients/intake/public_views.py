"""The one page that a client opens without signing in: her intake, behind a secret that works once and for a time.

It shows nothing of the salon's but its name and telephone number, and no browser or cache keeps it. Wrong, old and
taken-back secrets are answered alike. Nobody can forge a post to it without the secret, so it asks for no other token:
the browser, told to send no referrer, would be refused by that check (https://www.w3.org/TR/referrer-policy/: MEMORY).
"""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from clients.intake.form import OVER, UNDER, IntakeForm
from clients.intaking import IntakeClosed, open_intake
from clients.models import IntakeLink
from clients.models.consent import SignedWhere
from salon.common.htmx import render_page_or_part, wants_part
from salon.common.secrets_in_addresses import kept_nowhere
from salon.current import SalonRequest


@login_not_required
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def intake(request: SalonRequest, secret: str) -> HttpResponse:
    with timezone.override(ZoneInfo(request.salon.time_zone)):  # nobody is signed in, so nobody else sets it
        return kept_nowhere(_answer(request, secret))


def _answer(request: SalonRequest, secret: str) -> HttpResponse:
    at = timezone.now()
    link = open_intake(secret=secret, at=at)
    if link is None:
        return _closed(request)
    if link.used_at:
        return _received(request, link)
    of_age = request.GET.get("age", "")
    if request.method != "POST" and link.client.born_on is None and of_age not in (OVER, UNDER):
        return render(request, "clients/intake/age.html", _of(link) | {"over": OVER, "under": UNDER})
    form = IntakeForm(
        request.POST if request.method == "POST" else None, link=link, salon=request.salon, at=at, of_age=of_age
    )
    try:
        if form.is_valid() and form.send():
            return _sent(request)
    except IntakeClosed:  # between the look and the sending
        link = open_intake(secret=secret, at=at)
        return _received(request, link) if link else _closed(request)
    return render_page_or_part(
        request, "clients/intake/intake.html", "clients/intake/_form.html", _of(link) | {"form": form}
    )


def _of(link: IntakeLink) -> dict[str, Any]:
    """What a page tells of her and her link: what she is called, and until when the form is open."""
    return {
        "called": link.client.preferred_name or link.client.given_name,
        "link": link,
        "on_tablet": link.where == SignedWhere.TABLET,
    }


def _sent(request: SalonRequest) -> HttpResponse:
    """On to the same address, which says now that it was received; going back does not lead to the form again."""
    return HttpResponseClientRedirect(request.path) if wants_part(request) else redirect(request.path)


def _received(request: SalonRequest, link: IntakeLink) -> HttpResponse:
    if wants_part(request):  # sent twice, and the other was faster
        return HttpResponseClientRedirect(request.path)
    return render(request, "clients/intake/received.html", _of(link))


def _closed(request: SalonRequest) -> HttpResponse:
    return render(request, "clients/intake/closed.html", status=404)
