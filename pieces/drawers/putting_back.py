"""Puts a unit that was set aside back into the drawer, unless a sale holds it."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from pieces.models import SaleLine, Unit
from pieces.stock import release_unit
from salon.models import User


@transaction.atomic
def put_back(*, unit: Unit, by: User, at: datetime) -> Unit:
    """It is set aside no longer; raises ValidationError where it never was, or where it stands in a sale."""
    held = Unit.objects.select_for_update(of=("self",)).get(
        pk=unit.pk
    )  # before the sale is looked for, as selling does
    line = SaleLine.objects.filter(unit=held, is_live=True, handed_over_at=None).select_related("sale").first()
    if line:
        raise ValidationError(f"Unit {held} is in sale {line.sale}, which keeps it aside. Cancel that sale first.")
    return release_unit(unit=held, by=by, at=at)
