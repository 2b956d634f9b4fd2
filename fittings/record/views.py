"""The client's page: who she is, what is next, what is known, and everything that has happened, on one line."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_safe

from clients.consenting import is_under_age
from clients.looking import note_look, note_look_lately
from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from fittings.models import Appointment, Fitting
from fittings.owned.card import her_pieces
from fittings.photos.finding import LOOK
from fittings.photos.shown import has_photos, newest_photos
from fittings.record.health import health_facts
from fittings.till.card import her_money
from fittings.timeline.asked import line_asked_for
from fittings.timeline.lines_of import line_of_client
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

LOOKS_SHOWN = 5


@needs("clients.view_client")
@require_safe
def client_page(request: SalonRequest, reference: str) -> HttpResponse:
    client = get_object_or_404(Client.objects.active(), reference=reference)
    may_see_health = request.user.has_perm("clients.view_health")
    if may_see_health:
        note_look(client=client, user=request.user, page="client's page")
    context: dict[str, Any] = {
        "place": "clients",
        "client": client,
        **line_asked_for(request, line_of_client, client, here=client.get_absolute_url()),
    }
    if not wants_part(request):
        context |= _who_she_is(request, client)
        if request.user.has_perm("fittings.view_ownedpiece"):
            context["pieces"] = her_pieces(client)
        if request.user.has_perm("pieces.view_sale"):
            context["money"] = her_money(client)
        if may_see_health:
            context["health"] = health_facts(client)
        if request.user.has_perm("clients.view_photo"):
            context |= _photos(request, client, may_be_shown=context["may_photograph"])
        if request.user.has_perm("clients.view_accessentry"):
            context["looks"] = client.access_entries.select_related("user")[:LOOKS_SHOWN]
    return render_page_or_part(request, "fittings/client.html", "fittings/timeline/_line.html", context)


def _who_she_is(request: SalonRequest, client: Client) -> dict[str, Any]:
    at = now()
    live = {consent.kind for consent in Consent.objects.live().filter(client=client)}
    coming = Appointment.objects.standing().exclude(state=Appointment.State.DONE).filter(client=client, ends_at__gt=at)
    appointment = coming.select_related("kind", "stylist", "place").order_by("starts_at").first()
    return {
        "may_photograph": ConsentKind.PHOTOS in live,
        "age": client.age_on(localdate(at)),
        "is_under_age": is_under_age(client, request.salon, at),
        "consents": [(kind.label, kind in live) for kind in ConsentKind],
        "may_record": ConsentKind.RECORD in live,
        "appointment": appointment,
        "appointment_is_today": appointment is not None and localdate(appointment.starts_at) == localdate(at),
        "merges": list(client.merges.select_related("gone")),
        "open_visit": Fitting.objects.open().filter(client=client).first(),
    }


def _photos(request: SalonRequest, client: Client, *, may_be_shown: bool) -> dict[str, Any]:
    """The newest few, or whether there are some that are locked."""
    if not may_be_shown:
        return {"photos": [], "photos_are_locked": has_photos(client)}
    photos = newest_photos(client)
    if photos:
        note_look_lately(client=client, user=request.user, page=LOOK)  # their files are part of this look
    return {"photos": photos}
