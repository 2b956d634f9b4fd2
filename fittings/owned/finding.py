"""Finds the owned piece or the client a page is about."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from clients.models import Client
from fittings.models import Fitting, OwnedPiece


def owned_of(reference: str) -> OwnedPiece:
    """The piece with that reference, its client and what it is made of; 404 when there is none."""
    pieces = OwnedPiece.objects.filter(client__erased_at__isnull=True).with_what_they_are()
    return get_object_or_404(
        pieces.select_related("client", "partner__unit__variant__piece", "begun_by", "ended_by"), reference=reference
    )


def client_of(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)


def open_visit_of(client: Client) -> Fitting | None:
    return Fitting.objects.open().filter(client=client).first()
