"""Orders from makers: drafts them, sends them, takes in what comes, and closes them. The only writer of MakerOrder.

What a client waits for is told to the desk by `fittings.ordered_in`, which calls these deeds. Rows are held in one
order: sale, its line, maker, order, order line, unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.timezone import localdate

from clients.models import Client
from pieces.models import Maker, MakerOrder, OrderLine, Sale, SaleLine, Unit, Variant
from pieces.selling import unit_came
from pieces.stock import MOST_AT_ONCE, receive_units, reserve_unit
from salon.common.days import day_said
from salon.models import Salon, User

MOST_LINES = 120  # more are a second order, which can be sent in the same letter
LONGEST_AHEAD_YEARS = 2  # a later day is a slip of the finger in the year


@dataclass(frozen=True)
class LineWanted:
    """So many of one variant. cost_minor: of one, the catalogue's of today where it is left out."""

    variant: Variant
    count: int = 1
    purpose: str = Unit.Purpose.SALE
    cost_minor: int | None = None
    for_client: Client | None = None
    expected_on: date | None = None
    note: str = ""


@transaction.atomic
def draft_order(
    *,
    maker: Maker,
    lines: Sequence[LineWanted] = (),
    note: str = "",
    by: User,
    at: datetime,
    once: UUID | None = None,
) -> MakerOrder:
    """Begin an order, with its first lines or without; the same form sent twice gives the same order.

    Raises ValidationError for a variant of another maker, in another currency, no longer made, or named twice.
    """
    Maker.objects.select_for_update(no_key=True).get(pk=maker.pk)  # so that a second press comes after the first
    if once and (drafted := MakerOrder.objects.filter(once=once).first()):
        return drafted
    order = MakerOrder(
        maker=maker,
        currency=_currency_of(maker, lines),
        note=" ".join(note.split()),
        drafted_at=at,
        drafted_by=by,
        once=once,
    )
    order.full_clean()
    order.save()
    if len(lines) > MOST_LINES:
        raise ValidationError(f"An order holds up to {MOST_LINES} lines; make a second one.")
    for wanted in lines:
        _add(order, wanted, localdate(at))
    return order


@transaction.atomic
def draft_to_add_to(*, maker: Maker, by: User, at: datetime) -> MakerOrder:
    """The newest draft to that maker that has room, held until the transaction ends; a new one where there is none."""
    Maker.objects.select_for_update(no_key=True).get(pk=maker.pk)
    drafts = MakerOrder.objects.filter(maker=maker, state=MakerOrder.State.DRAFT)
    for draft in drafts.select_for_update(of=("self",)):
        if draft.lines.count() < MOST_LINES:
            return draft
    return draft_order(maker=maker, by=by, at=at)


@transaction.atomic
def add_line(*, order: MakerOrder, wanted: LineWanted, at: datetime) -> OrderLine:
    """One more line of a draft; raises ValidationError as `draft_order` does."""
    order = _draft(order)
    if order.lines.count() >= MOST_LINES:
        raise ValidationError(f"An order holds up to {MOST_LINES} lines; make a second one.")
    return _add(order, wanted, localdate(at))


@transaction.atomic
def change_line(*, line: OrderLine, count: int, purpose: str, cost_minor: int | None, note: str = "") -> OrderLine:
    """Another number, purpose, cost or note on a line of a draft."""
    line = _held_line(line)
    _refuse_unless_draft(line.order)
    line.count, line.purpose, line.cost_minor, line.note = count, purpose, cost_minor, " ".join(note.split())
    return _kept_line(line)


@transaction.atomic
def remove_line(*, line: OrderLine) -> None:
    """Take a line out of a draft. Raises ValidationError where a sale waits for it."""
    line = _held_line(line)
    _refuse_unless_draft(line.order)
    refuse_while_sold([line], "taken out")
    line.delete()


@transaction.atomic
def send_order(*, order: MakerOrder, expected_on: date | None, by: User, at: datetime) -> MakerOrder:
    """It goes to the maker as it stands; raises ValidationError for an empty one or a day that is over.

    A day the maker names for all of it replaces what was guessed for a line while it was a draft.
    """
    order = _draft(order)
    lines = order.lines.select_related("variant__piece", "variant__shade")
    if not lines:
        raise ValidationError("Nothing stands on this order yet; put a piece on it first.")
    _refuse_day(expected_on, localdate(at))
    for line in lines:
        _refuse_no_longer_made(line.variant, localdate(at))
    if expected_on:
        order.lines.update(expected_on=None)
    order.state, order.sent_at, order.sent_by, order.expected_on = MakerOrder.State.SENT, at, by, expected_on
    return _kept(order)


@transaction.atomic
def expect_on(
    *, order: MakerOrder, expected_on: date | None, at: datetime, line: OrderLine | None = None
) -> MakerOrder:
    """The maker names another day, or none any more: for the whole order, or for one of its lines alone."""
    order = hold_order(order)
    if line is None and not order.is_on_the_way:
        raise ValidationError(f"Order {order} is not on its way: {order.get_state_display().lower()}.")
    if order.closed_at:
        raise ValidationError(f"Order {order} is closed; nothing is expected any more.")
    _refuse_day(expected_on, localdate(at))
    if line is None:
        order.expected_on = expected_on
        return _kept(order)
    line = _held_line(line)
    if not line.to_come:
        raise ValidationError("All of this line has come in.")
    line.expected_on = expected_on
    _kept_line(line)
    return order


@transaction.atomic
def receive_against(
    *,
    line: OrderLine,
    count: int,
    received_on: date,
    by: User,
    at: datetime,
    already: int | None = None,
    still_hers: bool = True,
) -> list[Unit]:
    """Put so many units of a line into the drawer; one ordered for a client is set aside for her and fills her sale.

    already: how many had come when the form was shown; refused where somebody took some in since. still_hers: False
    where she no longer wants it. The order is closed with its last unit. Raises ValidationError for more than is still
    to come, for an order that is not on its way, and for a day before it was sent or after today.
    """
    hold_sales_of([line])
    sale_line = _sale_line_of(line)
    line = _held_line(line)
    order = line.order
    if not order.is_on_the_way:
        raise ValidationError(f"Nothing can come in: order {order} is {_STATE_SAID[order.state]}.")
    if already is not None and already != line.received_count:
        raise ValidationError(
            f"Somebody took in {_told(line.variant)} meanwhile: {line.received_count} of {line.count} are here. "
            "Look again."
        )
    if _sale_line_of(line) != sale_line:
        raise ValidationError("The sale of this piece was changed just now; take it in once more.")
    if not 1 <= count <= line.to_come:
        raise ValidationError(
            {"count": f"{line.to_come} of {line.count} are still to come; write a number up to that."}
            if line.to_come
            else {"count": "All of this line has come in."}
        )
    _refuse_received_on(received_on, order, localdate(at))
    units = [unit for part in _by_parts(count) for unit in _received(line, part, received_on, by, at)]
    line.received_count += count
    _kept_line(line)
    if sale_line:
        unit_came(line=sale_line, unit=units[0], by=by, at=at)
    elif line.for_client and still_hers:
        reserve_unit(unit=units[0], client=line.for_client, by=by, at=at)
    _close_or_part_received(order, by, at)
    return units


@transaction.atomic
def close_order(*, order: MakerOrder, because: str, by: User, at: datetime) -> MakerOrder:
    """Nothing more will come of it; needs a reason. Raises ValidationError while a sale waits for a piece of it."""
    order = hold_order(order)
    if not order.is_on_the_way:
        raise ValidationError(f"Order {order} is {_STATE_SAID[order.state]}.")
    because = " ".join(because.split())
    if not because:
        raise ValidationError({"because": "Write why nothing more will come."})
    refuse_while_sold(order.lines.filter(received_count__lt=F("count")), "closed")
    return _closed(order, MakerOrder.State.CLOSED, because, by, at)


@transaction.atomic
def drop_order(*, order: MakerOrder, by: User, at: datetime) -> MakerOrder:
    """A draft is given up before it was sent; what stood on it is kept to be read."""
    order = _draft(order)
    refuse_while_sold(order.lines.all(), "dropped")
    return _closed(order, MakerOrder.State.DROPPED, "", by, at)


def hold_order(order: MakerOrder) -> MakerOrder:
    """The order as kept now, held until the transaction ends."""
    return MakerOrder.objects.select_for_update(of=("self",)).select_related("maker").get(pk=order.pk)


def hold_sales_of(lines: Iterable[OrderLine]) -> None:
    """Hold the sales that wait for these lines until the transaction ends, before their order is held."""
    waiting = SaleLine.objects.waiting_for(lines)
    sales = Sale.objects.filter(pk__in=waiting.values("sale")).order_by("pk")
    [*sales.select_for_update(of=("self",))]
    [*waiting.order_by("pk").select_for_update(of=("self",))]


def refuse_while_sold(lines: Iterable[OrderLine], what: str) -> None:
    """Raise ValidationError while a sale waits for one of the lines: what was agreed with her is undone first."""
    sales = sorted({line.sale.reference for line in SaleLine.objects.waiting_for(lines).select_related("sale")})
    if sales:
        waits = f"Sale {', '.join(sales)} waits for this piece"
        raise ValidationError(f"{waits}; cancel it, or take the piece out of it, before it is {what}.")


_STATE_SAID: dict[str, str] = {
    MakerOrder.State.DRAFT: "a draft, which has not been sent",
    MakerOrder.State.SENT: "sent already",
    MakerOrder.State.PART_RECEIVED: "sent already",
    MakerOrder.State.CLOSED: "closed",
    MakerOrder.State.DROPPED: "dropped",
}


def _add(order: MakerOrder, wanted: LineWanted, today: date) -> OrderLine:
    variant = wanted.variant
    if variant.piece.base.maker_id != order.maker_id:
        made_by = variant.piece.base.maker
        raise ValidationError(f"{_told(variant)} is made by {made_by}; this order goes to {order.maker}.")
    if variant.currency != order.currency:
        raise ValidationError(
            f"{_told(variant)} is priced in {variant.currency}, this order in {order.currency}; "
            "make an order of its own."
        )
    _refuse_no_longer_made(variant, today)
    _refuse_day(wanted.expected_on, today)
    line = OrderLine(
        order=order,
        variant=variant,
        purpose=wanted.purpose,
        count=wanted.count,
        cost_minor=variant.cost_minor if wanted.cost_minor is None else wanted.cost_minor,
        for_client=wanted.for_client,
        expected_on=wanted.expected_on,
        note=" ".join(wanted.note.split()),
    )
    return _kept_line(line)


def _currency_of(maker: Maker, lines: Sequence[LineWanted]) -> str:
    """The currency of the first line, or of the maker's newest variant."""
    variants = (wanted.variant for wanted in lines)
    variant = next(variants, None) or Variant.objects.filter(piece__base__maker=maker).order_by("-pk").first()
    if variant is None:
        raise ValidationError({"maker": f"The catalogue has no piece of {maker} yet; write one down first."})
    return variant.currency


def _draft(order: MakerOrder) -> MakerOrder:
    order = hold_order(order)
    _refuse_unless_draft(order)
    return order


def _refuse_unless_draft(order: MakerOrder) -> None:
    if not order.is_draft:
        raise ValidationError(f"Order {order} is {_STATE_SAID[order.state]}; only a draft can be changed.")


def _held_line(line: OrderLine) -> OrderLine:
    """The line as kept now, held after its order. Raises ValidationError where it was taken out meanwhile."""
    order = hold_order(line.order)
    kept = (
        OrderLine.objects.select_for_update(of=("self",))
        .select_related("variant__piece", "variant__shade")  # not whose: that may change while this was waited for
        .filter(pk=line.pk)
        .first()
    )
    if kept is None:
        raise ValidationError("This line was taken out of the order meanwhile.")
    kept.order = order
    return kept


def _sale_line_of(line: OrderLine) -> SaleLine | None:
    return SaleLine.objects.waiting_for([line]).select_related("sale").first()


def _refuse_no_longer_made(variant: Variant, today: date) -> None:
    if variant.discontinued_on and variant.discontinued_on <= today:
        raise ValidationError(f"{_told(variant)} has not been made since {day_said(variant.discontinued_on)}.")


def _told(variant: Variant) -> str:
    """As the salon measures."""
    return variant.told(Salon.objects.default().units)


def _refuse_day(expected_on: date | None, today: date) -> None:
    if expected_on and expected_on < today:
        raise ValidationError({"expected_on": f"{day_said(expected_on)} is over; leave it empty if no day is known."})
    if expected_on and expected_on.year > today.year + LONGEST_AHEAD_YEARS:
        raise ValidationError({"expected_on": "That is more than two years ahead; write the year again."})


def _refuse_received_on(received_on: date, order: MakerOrder, today: date) -> None:
    if received_on > today:
        raise ValidationError({"received_on": "That day is still to come. Write the day on which the pieces came in."})
    if order.sent_at and received_on < (sent_on := localdate(order.sent_at)):
        raise ValidationError({"received_on": f"The order was sent on {day_said(sent_on)}; nothing came before that."})


def _by_parts(count: int) -> list[int]:
    """The count in parts that come in at once."""
    whole, rest = divmod(count, MOST_AT_ONCE)
    return [MOST_AT_ONCE] * whole + [rest] * bool(rest)


def _received(line: OrderLine, count: int, received_on: date, by: User, at: datetime) -> list[Unit]:
    return receive_units(
        variant=line.variant,
        count=count,
        purpose=line.purpose,
        received_on=received_on,
        by=by,
        at=at,
        order_line=line,
        cost_minor=line.cost_minor,
    )


def _close_or_part_received(order: MakerOrder, by: User, at: datetime) -> None:
    if order.lines.filter(received_count__lt=F("count")).exists():
        order.state = MakerOrder.State.PART_RECEIVED
        _kept(order)
    else:
        _closed(order, MakerOrder.State.CLOSED, "", by, at)


def _closed(order: MakerOrder, state: MakerOrder.State, because: str, by: User, at: datetime) -> MakerOrder:
    order.state, order.closed_at, order.closed_by, order.closed_because = state, at, by, because
    return _kept(order)


def _kept(order: MakerOrder) -> MakerOrder:
    order.full_clean()
    order.save()
    return order


def _kept_line(line: OrderLine) -> OrderLine:
    line.full_clean()
    line.save()
    return line
