"""Lets those who set up the salon write one after the other, so that a form sent twice meets what was written first."""

from __future__ import annotations

from salon.models import Salon


def hold_salon() -> None:
    """Within a transaction: whoever else asks for it waits till the transaction ends. SQLite lets one write anyway."""
    Salon.objects.select_for_update().filter(pk=Salon.objects.default().pk).first()
