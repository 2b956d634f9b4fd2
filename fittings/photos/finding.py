"""Finds whose photos an address is about, and opens them only while she agrees to photos.

A view that wears one of these gets the record in place of its reference. Without a live photo consent everybody is
answered by a calm page and status 403; a page that sends photos by itself hears the same sentence in JSON.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from clients.models import Client, Consent, Photo, PhotoSet
from fittings.consult.step_page import kept_nowhere, saves_itself
from salon.common.access import View
from salon.current import SalonRequest

P = ParamSpec("P")

LOOK = "photos"
"""What a look at a page with photos is recorded as; the files on it are then part of the same look."""


def of_client(view: Callable[Concatenate[SalonRequest, Client, P], HttpResponseBase]) -> View:
    """The client with that reference."""

    @wraps(view)
    def found(request: SalonRequest, reference: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        client = get_object_or_404(Client.objects.active(), reference=reference)
        return locked_page(request, client) or view(request, client, *args, **kwargs)

    return found


def of_set(view: Callable[Concatenate[SalonRequest, PhotoSet, P], HttpResponseBase]) -> View:
    """The set of photos with that reference, its client and its visit."""

    @wraps(view)
    def found(request: SalonRequest, reference: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        sets = PhotoSet.objects.filter(client__erased_at__isnull=True)
        photo_set = get_object_or_404(
            sets.select_related("client", "begun_by", "of_visit__fitting"), reference=reference
        )
        return locked_page(request, photo_set.client) or view(request, photo_set, *args, **kwargs)

    return found


def of_photo(view: Callable[Concatenate[SalonRequest, Photo, P], HttpResponseBase]) -> View:
    """The photo with that reference, and all that its own page tells of it."""

    @wraps(view)
    def found(request: SalonRequest, reference: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        photos = Photo.objects.filter(photo_set__client__erased_at__isnull=True).select_related(
            "photo_set__client", "photo_set__of_visit__fitting", "taken_by", "removed_by", "publicity_consent"
        )
        photo = get_object_or_404(photos, reference=reference)
        return locked_page(request, photo.photo_set.client) or view(request, photo, *args, **kwargs)

    return found


def locked_page(request: SalonRequest, client: Client) -> HttpResponse | None:
    """What is answered while her photos are locked; None while they may be opened."""
    if Consent.objects.allows_photos(client):
        return None
    if saves_itself(request):
        says = f"{client} has not agreed to photos, or has taken it back. Ask for that consent first."
        return kept_nowhere(JsonResponse({"refused": says}))
    page = render(request, "fittings/photos/locked.html", {"place": "clients", "client": client}, status=403)
    return kept_nowhere(page)
