"""Makes the secret addresses of calendars and takes them back; the only writer of CalendarFeed."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from fittings.models import CalendarFeed, Place
from salon.common.secrets_in_addresses import digest_of, new_secret
from salon.models import User

NOTED_EVERY = timedelta(hours=1)
MOST_OF_ONE = 10


@transaction.atomic
def make_feed(
    *, stylist: User | None = None, place: Place | None = None, by: User, at: datetime
) -> tuple[CalendarFeed, str]:
    """A new address of a stylist's or a place's calendar, and the secret in it, which nobody can ask for again."""
    whose = CalendarFeed.objects.live().filter(stylist=stylist, place=place)
    if whose.count() >= MOST_OF_ONE:
        raise ValidationError(
            f"There are {MOST_OF_ONE} addresses of this calendar already. Take one back that is no longer read."
        )
    secret = new_secret()
    feed = CalendarFeed(digest=digest_of(secret), stylist=stylist, place=place, made_by=by, made_at=at)
    feed.full_clean()
    feed.save()
    return feed, secret


@transaction.atomic
def revoke_feed(*, feed: CalendarFeed, by: User, at: datetime) -> CalendarFeed:
    """From now on the address is answered as one that never was."""
    kept = CalendarFeed.objects.select_for_update().get(pk=feed.pk)
    if kept.revoked_at is None:
        kept.revoked_at, kept.revoked_by = at, by
        kept.full_clean()
        kept.save()
    return kept


def read_feed(*, secret: str, at: datetime) -> CalendarFeed | None:
    """The live feed of that secret, and that it was read, noted once an hour; None when there is none."""
    feed = CalendarFeed.objects.live().select_related("stylist", "place").filter(digest=digest_of(secret)).first()
    if feed and (feed.last_read_at is None or at - feed.last_read_at > NOTED_EVERY):
        CalendarFeed.objects.filter(pk=feed.pk).update(last_read_at=at)
    return feed
