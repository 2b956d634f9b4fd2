"""The page on which a client says that she washed her piece today, without signing in: one button, and nothing else.

It shows the salon's name and no word of her or of what was washed. Opening it changes nothing, for programs that look
at mail open every link. It works as often as she washes, until the salon takes it back; wrong, old and taken-back
secrets are answered alike. Nobody can forge a post to it without the secret, so it asks for no other token: the
browser, told to send no referrer, would be refused by that check (https://www.w3.org/TR/referrer-policy/: MEMORY).
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from fittings.caring import open_wash_link, wash_by_link
from salon.common.secrets_in_addresses import kept_nowhere
from salon.current import SalonRequest


@login_not_required
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def washed(request: SalonRequest, secret: str) -> HttpResponse:
    with timezone.override(ZoneInfo(request.salon.time_zone)):  # nobody is signed in, so nobody else sets it
        return kept_nowhere(_answer(request, secret))


def _answer(request: SalonRequest, secret: str) -> HttpResponse:
    if request.method != "POST":
        if open_wash_link(secret=secret) is None:
            return _nothing(request)
        return render(request, "fittings/care_pages/washed.html")
    is_new = wash_by_link(secret=secret, at=timezone.now(), deep_care=bool(request.POST.get("deep_care")))
    if is_new is None:
        return _nothing(request)
    return render(request, "fittings/care_pages/washed.html", {"noted": True, "is_new": is_new})


def _nothing(request: SalonRequest) -> HttpResponse:
    return render(request, "clients/intake/closed.html", status=404)
