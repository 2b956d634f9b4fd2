"""Sends an owned piece away to be repaired, and takes it back: the only writer of Repair.

A repair done in the salon is a service. Meanwhile the unit stays hers; what she wears instead is a loan (`lending`).
"""

from __future__ import annotations

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from fittings.models import OwnedPiece, Repair
from fittings.owning import held
from salon.common.days import day_and_month, day_said
from salon.models import User

LONGEST_AHEAD_YEARS = 2  # a later day is a slip of the finger in the year


@transaction.atomic
def send_to_repair(
    *,
    owned: OwnedPiece,
    what: str,
    done_by: str,
    sent_on: date,
    by: User,
    at: datetime,
    expected_on: date | None = None,
) -> Repair:
    """Note that it is away; raises ValidationError when it is away already, or on a day that can't be."""
    owned, today = held(owned), localdate(at)
    if away := owned.repairs.filter(back_on__isnull=True).first():
        since = day_and_month(away.sent_on)
        raise ValidationError(f"It has been away with {away.done_by} since {since}; take it back first.")
    if sent_on > today:
        raise ValidationError({"sent_on": f"{day_said(sent_on)} is still to come; write the day it left."})
    if sent_on < owned.since:
        raise ValidationError({"sent_on": f"She has had it since {day_said(owned.since)}; write a later day."})
    if expected_on and expected_on < sent_on:
        raise ValidationError({"expected_on": "It can't be expected back before it left."})
    if expected_on and expected_on.year > today.year + LONGEST_AHEAD_YEARS:
        raise ValidationError({"expected_on": "That is more than two years ahead; write the year again."})
    repair = Repair(
        owned_piece=owned,
        what=" ".join(what.split()),
        done_by=" ".join(done_by.split()),
        sent_on=sent_on,
        expected_on=expected_on,
        sent_by=by,
        sent_at=at,
    )
    repair.full_clean()
    repair.save()
    return repair


@transaction.atomic
def back_from_repair(
    *, repair: Repair, back_on: date, by: User, at: datetime, found: str = "", cost_minor: int | None = None
) -> Repair:
    """Note that it came back, how, and what it cost; raises ValidationError when that was noted before."""
    repair = Repair.objects.select_for_update(of=("self",)).get(pk=repair.pk)
    if repair.back_on:
        raise ValidationError(f"It came back on {day_said(repair.back_on)}; that is kept already.")
    if not repair.sent_on <= back_on <= localdate(at):
        raise ValidationError(
            {"back_on": f"It left on {day_said(repair.sent_on)}; write a day from then to today on which it came back."}
        )
    repair.back_on, repair.found, repair.cost_minor = back_on, " ".join(found.split()), cost_minor
    repair.back_by, repair.back_at = by, at
    repair.full_clean()
    repair.save()
    return repair
