"""Lends a unit of the salon's to a client and takes it back: the only writer of Loan.

The unit's own state is `pieces.stock`'s. A unit that she keeps comes back first and is then given to her (`owning`).
"""

from __future__ import annotations

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked
from clients.models import Client
from fittings.models import Loan, OwnedPiece
from pieces.models import StockMovement, Unit
from pieces.stock import hand_over_unit, take_in_unit
from salon.common.days import day_said
from salon.models import User

LONGEST_AHEAD_YEARS = 2  # a later day is a slip of the finger in the year
DID_NOT_COME_BACK = "It did not come back."


@transaction.atomic
def lend(
    *,
    client: Client,
    unit: Unit,
    lent_on: date,
    due_back_on: date,
    by: User,
    at: datetime,
    instead_of: OwnedPiece | None = None,
    note: str = "",
) -> Loan:
    """Let her take a unit home until a day; raises ValidationError unless it lies in the drawer or is set aside."""
    client, today = locked(client), localdate(at)
    if lent_on > today:
        raise ValidationError({"lent_on": f"{day_said(lent_on)} is still to come; write today or an earlier day."})
    if lent_on < unit.received_on:
        raise ValidationError({"lent_on": f"This unit came in on {day_said(unit.received_on)}; write a later day."})
    if due_back_on < lent_on:
        raise ValidationError({"due_back_on": "It is due back on the day it is lent, or later."})
    if due_back_on.year > today.year + LONGEST_AHEAD_YEARS:
        raise ValidationError({"due_back_on": "That is more than two years ahead; write the year again."})
    if instead_of is not None and instead_of.client_id != client.pk:
        raise ValidationError("The piece she wears it instead of is another client's.")
    loan = Loan(
        client=client,
        unit=hand_over_unit(unit=unit, to=client, kind=StockMovement.Kind.LENT, by=by, at=at),
        instead_of=instead_of,
        lent_on=lent_on,
        due_back_on=due_back_on,
        note=" ".join(note.split()),
        lent_by=by,
        lent_at=at,
    )
    loan.full_clean()
    loan.save()
    return loan


@transaction.atomic
def take_loan_back(*, loan: Loan, back_on: date, by: User, at: datetime, gone: bool = False) -> Loan:
    """The unit lies in the drawer again; or it did not come back (`gone`) and is written off on that day."""
    loan = Loan.objects.select_for_update(of=("self",)).select_related("unit").get(pk=loan.pk)
    if loan.back_on:
        raise ValidationError(f"Unit {loan.unit} came back on {day_said(loan.back_on)}; that is kept already.")
    if not loan.lent_on <= back_on <= localdate(at):
        raise ValidationError(
            {"back_on": f"It was lent on {day_said(loan.lent_on)}; write the day it came back, from then to today."}
        )
    loan.unit = take_in_unit(
        unit=loan.unit,
        to=Unit.State.GONE if gone else Unit.State.DRAWER,
        because=DID_NOT_COME_BACK if gone else "",
        by=by,
        at=at,
    )
    if gone:
        loan.note = f"{loan.note} {DID_NOT_COME_BACK}".strip()[-240:]
    loan.back_on, loan.back_by, loan.back_at = back_on, by, at
    loan.full_clean()
    loan.save()
    return loan
