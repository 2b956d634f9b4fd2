"""Special orders: a piece ordered from its maker for one client, and what the desk is told of it.

Every deed here is one of `pieces.ordering` with the pieces awaited by clients kept in step, so that “piece not in yet”,
free times after it and the visits booked for it hold without anybody writing it down twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked
from clients.models import Client
from fittings.awaiting import (
    await_piece,
    expect_piece_on,
    follow_order,
    give_up,
    is_ordered_now,
    off_the_order,
    piece_came_in,
)
from fittings.models import AwaitedPiece
from pieces.models import MakerOrder, OrderLine, Unit, Variant
from pieces.ordering import (
    LineWanted,
    add_line,
    close_order,
    draft_to_add_to,
    drop_order,
    expect_on,
    hold_order,
    hold_sales_of,
    receive_against,
    refuse_while_sold,
    remove_line,
    send_order,
)
from pieces.paying import take_deposit
from salon.models import Salon, User

LONGEST_NAME = 120  # of what the desk reads


@dataclass(frozen=True)
class Deposit:
    """Money she leaves when it is ordered; it is held for her until there is a sale."""

    amount_minor: int
    method: str
    once: UUID | None = None


@dataclass(frozen=True)
class Arrived:
    """So many of a line came; `already` had come when the page was shown."""

    line: OrderLine
    count: int
    already: int | None = None


@transaction.atomic
def order_specially(
    *,
    client: Client,
    variant: Variant,
    salon: Salon,
    by: User,
    at: datetime,
    expected_on: date | None = None,
    note: str = "",
    noted: AwaitedPiece | None = None,
    deposit: Deposit | None = None,
) -> AwaitedPiece:
    """Put a piece for her on the draft to its maker, tell the desk to expect it, and take her deposit.

    noted: what the desk was told of it before, in words. Raises ValidationError for what is no longer made, for a day
    that is over, and where the very same is on its way for her already, which is what a second press looks like.
    """
    client = locked(client)
    order = draft_to_add_to(maker=variant.piece.base.maker, by=by, at=at)
    wanted = LineWanted(variant=variant, for_client=client, expected_on=expected_on, note=note)
    line = add_line(order=order, wanted=wanted, at=at)
    if noted:
        awaited = is_ordered_now(awaited=noted, order_line=line)
    else:
        awaited = await_piece(
            client=client,
            what=_named(variant, line.note, salon),
            variant=variant,
            expected_on=expected_on,
            order_line=line,
            by=by,
            at=at,
        )
    if deposit:
        take_deposit(
            client=client,
            amount_minor=deposit.amount_minor,
            what_for=f"{variant.piece}, {variant.shade.name}, on order",
            method=deposit.method,
            salon=salon,
            by=by,
            at=at,
            once=deposit.once,
        )
    return awaited


@transaction.atomic
def send(*, order: MakerOrder, expected_on: date | None, by: User, at: datetime) -> MakerOrder:
    """Send a draft; what it brings to clients is expected on its day."""
    order = send_order(order=order, expected_on=expected_on, by=by, at=at)
    _tell_desk(order, by, at)
    return order


@transaction.atomic
def expect(
    *, order: MakerOrder, expected_on: date | None, by: User, at: datetime, line: OrderLine | None = None
) -> MakerOrder:
    """Another day for the whole order, or for one line."""
    order = expect_on(order=order, line=line, expected_on=expected_on, at=at)
    _tell_desk(order, by, at)
    return order


@transaction.atomic
def take_in(*, order: MakerOrder, arrived: Sequence[Arrived], received_on: date, by: User, at: datetime) -> list[Unit]:
    """Take a parcel in, all of it or nothing; a refusal names the line it is about."""
    if not arrived:
        raise ValidationError("Write how many came of at least one line.")
    if any(one.line.order_id != order.pk for one in arrived):
        raise ValueError("a parcel is of one order")
    hold_sales_of([one.line for one in arrived])
    unwanted = AwaitedPiece.objects.filter(order_line__order=order, given_up_at__isnull=False)
    not_hers = set(unwanted.values_list("order_line", flat=True))
    units: list[Unit] = []
    for one in sorted(arrived, key=lambda one: one.line.pk):
        try:
            units += receive_against(
                line=one.line,
                count=one.count,
                already=one.already,
                received_on=received_on,
                still_hers=one.line.pk not in not_hers,
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            if "count" not in getattr(refusal, "error_dict", {}):
                raise
            raise ValidationError({f"count-{one.line.pk}": refusal.messages}) from refusal
    _tell_desk(order, by, at)
    return units


@transaction.atomic
def close(*, order: MakerOrder, because: str, by: User, at: datetime) -> MakerOrder:
    """Nothing more will come; clients' pieces that have not come are no longer awaited."""
    order = close_order(order=order, because=because, by=by, at=at)
    _tell_desk(order, by, at)
    return order


@transaction.atomic
def drop(*, order: MakerOrder, by: User, at: datetime) -> MakerOrder:
    """A draft is given up, and with it what was to be ordered for clients."""
    order = drop_order(order=order, by=by, at=at)
    _tell_desk(order, by, at)
    return order


@transaction.atomic
def take_out(*, line: OrderLine, by: User, at: datetime) -> None:
    """Take a line out of a draft; a client's piece on it is no longer awaited."""
    hold_order(line.order)
    refuse_while_sold([line], "taken out")
    awaited = AwaitedPiece.objects.filter(order_line=line).first()
    if awaited:
        off_the_order(awaited=awaited, by=by, at=at)
    remove_line(line=line)


@transaction.atomic
def awaited_came_in(*, awaited: AwaitedPiece, by: User, at: datetime) -> AwaitedPiece:
    """The desk has it in hand: one that was ordered gets its number and is set aside for her."""
    line = awaited.order_line
    if line is None or line.received_count:
        return piece_came_in(awaited=awaited, by=by, at=at)
    take_in(order=line.order, arrived=[Arrived(line, 1)], received_on=localdate(at), by=by, at=at)
    awaited.refresh_from_db()
    return awaited


@transaction.atomic
def awaited_no_longer_wanted(*, awaited: AwaitedPiece, by: User, at: datetime) -> AwaitedPiece:
    """She does not want it: it is out of a draft, and what was sent for lies in the drawer when it comes.

    Raises ValidationError while a sale waits for it.
    """
    line = awaited.order_line
    if line is None:
        return give_up(awaited=awaited, by=by, at=at)
    order = hold_order(line.order)
    refuse_while_sold([line], "given up")
    given_up = give_up(awaited=awaited, by=by, at=at)
    if order.is_draft:
        take_out(line=line, by=by, at=at)
        given_up.refresh_from_db()
    return given_up


@transaction.atomic
def awaited_on_another_day(*, awaited: AwaitedPiece, expected_on: date | None, by: User, at: datetime) -> AwaitedPiece:
    """The desk hears of another day; an order keeps it for this line alone."""
    if awaited.order_line:
        expect(order=awaited.order_line.order, line=awaited.order_line, expected_on=expected_on, by=by, at=at)
        awaited.refresh_from_db()
        return awaited
    return expect_piece_on(awaited=awaited, expected_on=expected_on, at=at)


def _tell_desk(order: MakerOrder, by: User, at: datetime) -> None:
    """Every piece that a client awaits of this order follows it."""
    for awaited in AwaitedPiece.objects.still_awaited().filter(order_line__order=order).order_by("pk"):
        follow_order(awaited=awaited, by=by, at=at)


def _named(variant: Variant, note: str, salon: Salon) -> str:
    """What the desk calls it: piece, shade and length as the salon measures, and what tells it from another."""
    name = variant.told(salon.units)
    name = f"{name}, {note}" if note else name
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"
