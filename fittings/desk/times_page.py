"""What a page that offers free times shows: the wishes, what the visit waits for, and the days with their times.

Booking and moving share it; a swap gets the times alone.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.http import HttpResponse, QueryDict
from django.shortcuts import render

from clients.models import Client
from fittings.desk.day_asked import day_asked_for
from fittings.desk.times_offered import times_offered
from fittings.desk.wish_form import WishForm
from fittings.models import Appointment, ServiceKind
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

SHOWS = {"show", "later"}  # buttons that show times and do nothing else
UPCOMING_AT_MOST = 3


def times_page(
    request: SalonRequest,
    said: QueryDict,
    *,
    at: datetime,
    client: Client,
    kind: ServiceKind | None = None,
    besides: Appointment | None = None,
) -> dict[str, Any]:
    """`kind` when it stands already; otherwise it is one of the wishes, and there are no times before it is chosen."""
    wishes = WishForm(said, at=at)
    kind = kind or wishes.chosen_kind
    if kind is None:
        return {"wishes": wishes, "kind": None}
    later = leafed_to(said.get("later"))
    waits = wishes.waits_for(client, kind)
    offered = times_offered(
        kind=kind, since=wishes.since(later), wish=wishes.wish(waits), client=client, besides=besides
    )
    count = sum(len(day.times) for day in offered.days)
    return {
        "wishes": wishes,
        "kind": kind,
        "waits": waits,
        "offered": offered,
        "later": later,
        "tells_who": not wishes.said.get("wished_stylist"),
        "said_aloud": f"{count} free times on {len(offered.days)} days." if wants_part(request) else "",
    }


def page_or_times(request: SalonRequest, page: str, context: dict[str, Any]) -> HttpResponse:
    """The times alone to a swap that asks for others; a post, which may have been refused, always gets the page."""
    if request.method == "POST":
        return render(request, page, context)
    return render_page_or_part(request, page, "fittings/desk/_times.html", context)


def upcoming_of(client: Client, at: datetime) -> list[Appointment]:
    """What she has booked already, the nearest first."""
    standing = Appointment.objects.standing().filter(client=client, ends_at__gt=at)
    return list(standing.select_related("kind").order_by("starts_at")[:UPCOMING_AT_MOST])


def leafed_to(text: str | None) -> date | None:
    """The day from which later times are asked for, when it is one."""
    day = day_asked_for(text, date.min)
    return None if day == date.min else day
