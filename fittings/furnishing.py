"""Adds the places a client can sit at and the kinds of visit that can be booked: what a new salon needs first."""

from __future__ import annotations

from django.db import transaction

from fittings.models import Place, Purpose, ServiceKind


@transaction.atomic
def add_place(*, name: str, sort: str = Place.Sort.CHAIR) -> Place:
    """A room, chair or basin that one client uses at a time; raises ValidationError for a name that is taken."""
    place = Place(name=" ".join(name.split()), sort=sort)
    place.full_clean()
    place.save()
    return place


@transaction.atomic
def add_kind_of_visit(
    *, name: str, minutes: int, clean_up_minutes: int = 0, price_minor: int = 0, purpose: str = Purpose.OTHER
) -> ServiceKind:
    """A kind of visit with its length; the place stays taken for the clean-up after it. Price in minor units."""
    kind = ServiceKind(
        name=" ".join(name.split()),
        minutes=minutes,
        clean_up_minutes=clean_up_minutes,
        price_minor=price_minor,
        purpose=purpose,
    )
    kind.full_clean()
    kind.save()
    return kind
