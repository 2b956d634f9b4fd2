"""Begins a set of photos where it belongs: in the visit of hers that is open, or between visits."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from clients.consenting import locked, require_photo_consent
from clients.models import Client, PhotoSet
from clients.photos import MOMENT_LASTS, open_photo_set
from fittings.models import Fitting, VisitPhotoSet
from salon.models import User


@transaction.atomic
def begin_photo_set(
    *, client: Client, moment: str, by: User, at: datetime, apart_from: QuerySet[Any, Any] | None = None
) -> PhotoSet:
    """A new set, filed with her open visit if there is one; or the one of that moment that still goes on.

    In a visit that is the set already begun there. Between visits it is one in which nothing has been taken yet, so
    that a button pressed twice leaves no empty set behind. Raises ValidationError without her photo consent.
    apart_from: keys of sets that belong to something else, such as another piece of hers.
    """
    client = locked(client)
    visit = Fitting.objects.open().filter(client=client).first()
    if going_on := _going_on(client, moment, visit, at, apart_from):
        require_photo_consent(client)
        return going_on
    photo_set = open_photo_set(client=client, moment=moment, by=by, at=at)
    if visit:
        of_visit = VisitPhotoSet(fitting=visit, photo_set=photo_set)
        of_visit.full_clean()
        of_visit.save()
    return photo_set


def _going_on(
    client: Client, moment: str, visit: Fitting | None, at: datetime, apart_from: QuerySet[Any, Any] | None
) -> PhotoSet | None:
    lately = PhotoSet.objects.filter(client=client, moment=moment, begun_at__gte=at - MOMENT_LASTS)
    if apart_from is not None:
        lately = lately.exclude(pk__in=apart_from)
    if visit:
        return lately.filter(of_visit__fitting=visit).first()
    return lately.filter(of_visit__isnull=True, photos__isnull=True).first()
