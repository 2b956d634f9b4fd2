"""Keeps who looked at whose health facts, on which page and when."""

from __future__ import annotations

from clients.models import AccessEntry, Client
from salon.models import User


def note_look(*, client: Client, user: User, page: str) -> None:
    """Record one look; every view that shows a client's health facts calls this. `page` is what the owner reads."""
    AccessEntry.objects.create(client=client, user=user, page=page)
