"""Notes that a piece is on its way for a client, and what becomes of it: the only writer of AwaitedPiece.

Which visits wait for it is said on the appointment; what that means for a visit is for `fittings.free_times` and
`fittings.readiness`. One that is ordered from its maker follows the order (`fittings.ordered_in`).
"""

from __future__ import annotations

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate, localtime

from clients.models import Client
from fittings.models import AwaitedPiece
from pieces.models import OrderLine, Variant
from salon.common.days import day_and_month, day_said
from salon.models import Salon, User

LONGEST_AHEAD_YEARS = 2  # a later day is a slip of the finger in the year


@transaction.atomic
def await_piece(
    *,
    client: Client,
    what: str,
    variant: Variant | None = None,
    expected_on: date | None = None,
    order_line: OrderLine | None = None,
    by: User,
    at: datetime,
) -> AwaitedPiece:
    """Note a piece for her; with a variant alone it is called by the variant's name. order_line: what it comes with.

    Refused when the very same is on its way for her already, which is what a second press looks like.
    """
    her = Client.objects.active().select_for_update(no_key=True).filter(pk=client.pk).first()
    if her is None:
        raise ValidationError("This client's record is closed; nothing can be noted for her any more.")
    what = " ".join(what.split()) or (variant.told(Salon.objects.default().units) if variant else "")
    if not what:
        raise ValidationError({"what": "Write which piece is on its way: “Heron, walnut, 35 cm” is enough."})
    _refuse_day(expected_on, at)
    if same := AwaitedPiece.objects.still_awaited().filter(client=her, what=what).first():
        raise ValidationError(
            {
                "what": f"“{what}” has been on its way for her since {day_and_month(localtime(same.noted_at))}. "
                "If this is a second one, write what tells them apart."
            }
        )
    piece = AwaitedPiece(
        client=her,
        what=what,
        variant=variant,
        expected_on=expected_on,
        order_line=order_line,
        noted_by=by,
        noted_at=at,
    )
    piece.full_clean()
    piece.save()
    return piece


@transaction.atomic
def piece_came_in(*, awaited: AwaitedPiece, by: User, at: datetime) -> AwaitedPiece:
    """It lies here now. Refused when it came in before, when it is no longer wanted, or while it has no number."""
    piece = _still_awaited(awaited)
    if piece.order_line and not piece.order_line.received_count:
        raise ValidationError(
            f"“{piece}” is on order {piece.order_line.order}; take it in there, so that it is numbered."
        )
    piece.in_at, piece.in_by = at, by
    return _kept(piece)


@transaction.atomic
def give_up(*, awaited: AwaitedPiece, by: User, at: datetime) -> AwaitedPiece:
    """It is no longer wanted, or will never come."""
    piece = _still_awaited(awaited)
    piece.given_up_at, piece.given_up_by = at, by
    return _kept(piece)


@transaction.atomic
def expect_piece_on(*, awaited: AwaitedPiece, expected_on: date | None, at: datetime) -> AwaitedPiece:
    """The maker names another day, or none any more."""
    piece = _still_awaited(awaited)
    _refuse_day(expected_on, at)
    piece.expected_on = expected_on
    return _kept(piece)


@transaction.atomic
def is_ordered_now(*, awaited: AwaitedPiece, order_line: OrderLine) -> AwaitedPiece:
    """What was noted in words is ordered from its maker now; visits that wait for it go on waiting for it."""
    piece = _still_awaited(awaited)
    if piece.order_line_id:
        raise ValidationError(f"“{piece}” is ordered already.")
    if piece.client_id != order_line.for_client_id:
        raise ValidationError(f"“{piece}” is for another client.")
    piece.order_line, piece.variant = order_line, order_line.variant
    piece.expected_on = order_line.comes_on or piece.expected_on
    return _kept(piece)


@transaction.atomic
def off_the_order(*, awaited: AwaitedPiece, by: User, at: datetime) -> AwaitedPiece:
    """Its line is taken out of a draft, so that nothing comes with it any more; it is no longer wanted."""
    piece = AwaitedPiece.objects.select_for_update(of=("self",)).get(pk=awaited.pk)
    piece.order_line = None
    if not (piece.in_at or piece.given_up_at):
        piece.given_up_at, piece.given_up_by = at, by
    return _kept(piece)


@transaction.atomic
def follow_order(*, awaited: AwaitedPiece, by: User, at: datetime) -> None:
    """Say of it what its order says now: in, no longer coming, or on which day."""
    piece = AwaitedPiece.objects.select_for_update(of=("self",)).get(pk=awaited.pk)
    line = piece.order_line
    if line is None or piece.in_at or piece.given_up_at:
        return
    if line.received_count:
        piece.in_at, piece.in_by = at, by
    elif line.order.closed_at:
        piece.given_up_at, piece.given_up_by = at, by
    piece.expected_on = line.comes_on
    _kept(piece)


def _still_awaited(awaited: AwaitedPiece) -> AwaitedPiece:
    piece = AwaitedPiece.objects.select_for_update(of=("self",)).get(pk=awaited.pk)
    if piece.in_at:
        raise ValidationError(f"“{piece}” came in on {day_and_month(localtime(piece.in_at))}.")
    if piece.given_up_at:
        raise ValidationError(
            f"“{piece}” has not been wanted since {day_and_month(localtime(piece.given_up_at))}; note it anew if it is."
        )
    return piece


def _refuse_day(expected_on: date | None, at: datetime) -> None:
    today = localdate(at)
    if expected_on and expected_on < today:
        raise ValidationError({"expected_on": f"{day_said(expected_on)} is over; leave it empty if no day is known."})
    if expected_on and expected_on.year > today.year + LONGEST_AHEAD_YEARS:
        raise ValidationError({"expected_on": "That is more than two years ahead; write the year again."})


def _kept(piece: AwaitedPiece) -> AwaitedPiece:
    piece.full_clean()
    piece.save()
    return piece
