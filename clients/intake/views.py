"""The salon's page of a client's intake: hands the tablet over, makes and takes back links, shows what she sent."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.middleware.csrf import rotate_token
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from clients.consenting import live_consents
from clients.intake.inviting import send_invitation
from clients.intake.told import told_in
from clients.intaking import make_intake_link, revoke_intake_link
from clients.looking import note_look
from clients.models import Client, IntakeLink
from clients.models.consent import ConsentKind, SignedWhere
from salon.common.access import needs
from salon.current import SalonRequest

LINKS_SHOWN = 20
SHOWN_ONCE = "new_intake_link"  # in the session, until the page that shows the address is drawn


@needs("clients.view_intakelink")
@require_safe
def client_intake(request: SalonRequest, reference: str) -> HttpResponse:
    client = _client(reference)
    pk, address = request.session.pop(SHOWN_ONCE, (None, ""))
    made = pk and IntakeLink.objects.filter(pk=pk, client=client).first()
    return _page(request, client, made=made, address=address) if made else _page(request, client)


@needs("clients.add_intakelink")
@require_POST
def hand_over(request: SalonRequest, reference: str) -> HttpResponse:
    """Leave the device to her: whoever is signed in is signed out, and what this browser keeps of other pages goes."""
    client = _client(reference)
    try:
        _, secret = make_intake_link(client=client, where=SignedWhere.TABLET, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("client-intake", reference)
    logout(request)
    rotate_token(request)  # by this a page that the browser brings back from memory knows (static/js/signed-in.js)
    handed = redirect("intake", secret)
    handed["Clear-Site-Data"] = '"cache"'
    add_never_cache_headers(handed)
    return handed


@needs("clients.add_intakelink")
@require_POST
def link_new(request: SalonRequest, reference: str) -> HttpResponse:
    """A link for at home; its address is shown this once, for only its digest is kept."""
    client, by_email = _client(reference), bool(request.POST.get("by_email"))
    if by_email and not client.email:
        messages.error(request, "No e-mail address is on file. Write it down first, or make a link to copy.")
        return redirect("client-intake", reference)
    try:
        link, secret = make_intake_link(client=client, where=SignedWhere.HOME, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("client-intake", reference)
    address = request.build_absolute_uri(reverse("intake", args=[secret]))
    if by_email:
        try:
            send_invitation(link=link, address=address, salon=request.salon)
        except ValidationError as refusal:
            messages.warning(request, " ".join(refusal.messages))
        else:
            messages.success(request, f"Sent to {client.email}.")
    request.session[SHOWN_ONCE] = (link.pk, address)  # on a page of its own: loading that again makes no second link
    return redirect("client-intake", reference)


@needs("clients.change_intakelink")
@require_POST
def link_revoke(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    link = get_object_or_404(IntakeLink, pk=pk, client=_client(reference))
    try:
        revoke_intake_link(link=link, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Taken back: the link opens nothing any more.")
    return redirect("client-intake", reference)


def _page(request: SalonRequest, client: Client, **just_made: Any) -> HttpResponse:
    at = now()
    links = list(client.intake_links.select_related("made_by", "revoked_by")[:LINKS_SHOWN])
    intakes = list(client.intakes.select_related("link", "taken_over_by")[:LINKS_SHOWN])
    may_read = request.user.has_perm("clients.view_intake")
    if may_read and intakes:
        note_look(client=client, user=request.user, page="intake")
    context = {
        "place": "clients",
        "client": client,
        "links": [(link, link.state_at(at)) for link in links],
        "intakes": [(intake, told_in(intake) if may_read else ()) for intake in intakes],
        "may_read": may_read,
        "agrees_to_messages": ConsentKind.REMINDERS in live_consents(client),
    }
    page = render(request, "clients/intake/client_intake.html", context | just_made)
    add_never_cache_headers(page)
    return page


def _client(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)
