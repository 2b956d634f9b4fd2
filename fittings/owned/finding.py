"""Finds the owned piece or the client a page is about, the visit it happens in, and the entry that is corrected."""

from __future__ import annotations

from typing import Any, TypeVar

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from clients.models import Client
from fittings.models import Fitting, OwnedPiece
from salon.common.references import normalise_reference
from salon.current import SalonRequest

Kept = TypeVar("Kept")


def owned_of(reference: str) -> OwnedPiece:
    """The piece with that reference, its client and what it is made of; 404 when there is none."""
    pieces = OwnedPiece.objects.filter(client__erased_at__isnull=True).with_what_they_are()
    return get_object_or_404(
        pieces.select_related("client", "partner__unit__variant__piece", "candidate__fitting", "begun_by", "ended_by"),
        reference=reference,
    )


def client_of(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)


def open_visit_of(client: Client) -> Fitting | None:
    return Fitting.objects.open().filter(client=client).first()


def unit_number(typed: str) -> str:
    """A unit's number as its label writes it, from text typed in any case, with spaces or without the hyphen."""
    try:
        return normalise_reference(typed)
    except ValueError:
        return typed.strip().upper()


def asked_to_correct(request: SalonRequest, entries: Any) -> Any:
    """The entry whose key is in the address, whether it stands or not; None where nothing is corrected."""
    key = request.GET.get("corrects", "")
    if not key:
        return None
    if not key.isascii() or not key.isdecimal() or len(key) > 12:
        raise Http404("There is no such entry.")
    return get_object_or_404(entries.all(), pk=int(key))


def no_longer_hers(request: SalonRequest, owned: OwnedPiece) -> HttpResponse | None:
    """Back to its page with a sentence, for a form that nothing can be written into any more."""
    if owned.is_hers or request.method == "POST":  # what is sent is answered by the deed, on the form
        return None
    messages.error(request, "She no longer has this piece; nothing more is written down of it.")
    return redirect(owned)
