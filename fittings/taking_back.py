"""Takes a sold piece back from the client who wore it: the return, and the end of the piece she kept, in one.

What may be taken back, the unit and the money are `pieces.returning`'s; her piece's care, its partner and the address
of its washes end by `owning`. Rows are held in one order: sales, line, her piece, unit, the receipts' counter last; a
piece that is ended by itself is held before its unit too.
"""

from __future__ import annotations

from datetime import datetime
from typing import Required, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.utils.timezone import localdate

from fittings.models import OwnedPiece
from fittings.owning import end_returned_piece, hold_with_its_partner
from pieces.models import Return, ReturnReason, Sale, SaleLine
from pieces.returning import live_line, take_back
from salon.models import Salon, User


class ReturnTold(TypedDict, total=False):
    """What `take_back` is told besides the line, by whom and when."""

    reason: Required[ReturnReason]
    fate: Required[str]
    refund_minor: Required[int]
    method: str
    said: str
    seal_broken: bool
    worn: bool
    cut: bool
    coloured: bool
    owner: User | None
    because: str
    exchanged_for: Sale | None
    once: UUID | None


@transaction.atomic
def take_back_hers(*, line: SaleLine, salon: Salon, by: User, at: datetime, **told: Unpack[ReturnTold]) -> Return:
    """Take it back and end what she kept of it; raises ValidationError as `take_back` does, or while it is away for a
    repair.
    """
    line = live_line(line, with_sale=told.get("exchanged_for"))
    # of a form sent twice nothing ends: what she has by now she may have bought anew
    owned = _held_piece_of(line) if line.is_live else None
    taken_back = take_back(line=line, salon=salon, by=by, at=at, **told)
    if owned is not None:
        end_returned_piece(owned=owned, until=localdate(at), note=str(taken_back.reason), by=by, at=at)
    return taken_back


def _held_piece_of(line: SaleLine) -> OwnedPiece | None:
    """The piece that she keeps of this line, held; None where she never agreed to a record of it."""
    owned = OwnedPiece.objects.filter(unit=line.unit_id, client=line.sale.client_id, until__isnull=True).first()
    return hold_with_its_partner(owned) if owned else None
