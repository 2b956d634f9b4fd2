"""Keeps who looked at whose health facts or photos, on which page and when."""

from __future__ import annotations

from datetime import timedelta

from django.utils.timezone import now

from clients.models import AccessEntry, Client
from salon.models import User

ONE_LOOK_LASTS = timedelta(minutes=10)


def note_look(*, client: Client, user: User, page: str) -> None:
    """Record one look; every view that shows a client's health facts calls this. `page` is what the owner reads."""
    AccessEntry.objects.create(client=client, user=user, page=page)


def note_look_lately(*, client: Client, user: User, page: str) -> None:
    """Record one look, unless it goes on from one recorded within the last ten minutes: for the files of a page, of
    which a browser asks for dozens. The page's own view notes the look first, under the same words."""
    lately = AccessEntry.objects.filter(client=client, user=user, page=page, at__gt=now() - ONE_LOOK_LASTS)
    if not lately.exists():
        note_look(client=client, user=user, page=page)
