"""Sends whoever is signed out to sign in, and from there back to a page that can be opened.

Django's own middleware comes back to the address that was asked for. What was posted can't be asked for again, and some
addresses take posts alone: after those it leads back to the page that sent them. A part of a page is never answered
with the sign-in page in its place: the whole page goes there, unless it holds what has not been sent and stays
(static/js/not-sent.js).
"""

from __future__ import annotations

from urllib.parse import urlsplit

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.http import HttpResponseClientRedirect

from salon.common.access import View
from salon.common.htmx import wants_part

SIGNED_OUT = 401


class SignedInMiddleware(LoginRequiredMiddleware):
    """Asks of every page but the marked ones that somebody is signed in."""

    def handle_no_permission(  # type: ignore[override]  # a part is led there by a header, not by a redirect
        self, request: HttpRequest, view_func: View
    ) -> HttpResponse:
        to_sign_in = redirect_to_login(
            way_back(request), self.get_login_url(view_func), self.get_redirect_field_name(view_func)
        )
        if not wants_part(request):
            return to_sign_in
        answer = HttpResponseClientRedirect(to_sign_in.url)
        answer.status_code = SIGNED_OUT
        return answer


def way_back(request: HttpRequest) -> str:
    """Where to go on after signing in: the address itself, or of a post or a part the page it was sent from."""
    if wants_part(request):
        sent_from = request.headers.get("HX-Current-URL", "")
    elif request.method in {"GET", "HEAD"}:
        return request.get_full_path()
    else:
        sent_from = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(sent_from, {request.get_host()}, require_https=request.is_secure()):
        return request.get_full_path()
    page = urlsplit(sent_from)
    return f"{page.path}?{page.query}" if page.query else page.path
