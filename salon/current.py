"""Which salon a request belongs to, in which zone its times are shown, and in which units its reader measures."""

from __future__ import annotations

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from salon.models import Salon, Units, User


class SalonRequest(HttpRequest):
    """A request of somebody who has signed in, as the views annotate it."""

    user: User
    salon: Salon


class SalonMiddleware:
    """Puts the salon on the request and its time zone on the clock, at one query for somebody signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.salon = SimpleLazyObject(Salon.objects.default)  # type: ignore[attr-defined]  # SalonRequest declares it
        if not request.user.is_authenticated:
            return self.get_response(request)
        with timezone.override(ZoneInfo(request.salon.time_zone)):  # type: ignore[attr-defined]  # as above
            return self.get_response(request)


def reader_units(user: User, salon: Salon) -> Units:
    """Her own choice of units, or the salon's."""
    return Units(user.units or salon.units)


def salon(request: HttpRequest) -> dict[str, object]:
    """For every template: the salon, the reader's units, and whether this is the demo."""
    if not hasattr(request, "salon"):  # refused before the middleware was reached, as a host that is not ours is
        return {"demo": settings.DEMO}
    context: dict[str, object] = {"salon": request.salon, "demo": settings.DEMO}
    if request.user.is_authenticated:
        context["units"] = reader_units(request.user, request.salon)
    return context
