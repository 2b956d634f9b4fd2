"""The link by which a client stops messages without signing in: signed, so that nobody can make one for another.

It says who she is and nothing else, and never runs out: the oldest message must be able to stop the newest.
"""

from __future__ import annotations

from django.conf import settings
from django.core import signing
from django.urls import reverse

from clients.models import Client

_SIGNER = signing.Signer(salt="fittings.messages.stopping")


def stop_address(client: Client) -> str:
    """The whole address for a message; empty while the settings don't say where the salon is reached."""
    return (
        f"{settings.SALON_ADDRESS}{reverse('stop-messages', args=[stop_token(client)])}"
        if settings.SALON_ADDRESS
        else ""
    )


def stop_token(client: Client) -> str:
    return _SIGNER.sign(client.reference)


def client_of(token: str) -> Client | None:
    """Whose link it is, or whose record hers has gone into; None for one that we did not sign."""
    try:
        reference = _SIGNER.unsign(token)
    except signing.BadSignature:
        return None
    client = Client.objects.filter(reference=reference).first()
    while client and client.merged_into:
        client = client.merged_into
    return client
