"""How the demo's clients come by the piece they chose: from the drawer or ordered for them, paid in two parts, fetched.

Receipts are numbered as the story is told. Who buys is told in `years` and `trade`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.timezone import localdate

from fittings.models import Fitting, OwnedPiece, TryOn
from fittings.ordered_in import Arrived, order_specially, send, take_in
from fittings.selling_home import hand_over_hers, measured_for
from pieces.models import OrderLine, Payment, Sale, SaleLine, Unit, Variant
from pieces.paying import count_deposit, owed_for, take_payment
from pieces.selling import LineAsked, agree_sale
from salon.demo.days import Desk
from salon.demo.story import Story
from salon.models import Salon

PAID_AT_ONCE = 0.3
WHOLE_MINOR = 500  # what is paid at once is rounded to five pounds


@dataclass(frozen=True)
class Paying:
    """How she pays, and what is taken off the price."""

    method: Payment.Method = Payment.Method.CARD
    discount_minor: int = 0
    discount_because: str = ""


BY_CARD = Paying()


@dataclass(frozen=True)
class Buying:
    """When she can fetch it; `then` goes on with what is hers from that moment."""

    fetched_after_days: int
    then: Callable[[SaleLine, OwnedPiece, datetime], None]
    paying: Paying = BY_CARD


def buy(fitting: Fitting, buying: Buying, desk: Desk, salon: Salon, story: Story, at: datetime) -> None:
    """She takes the piece she chose in this visit: one of the drawer's if there is one, or else ordered for her."""
    variant = _chosen(fitting)
    lying_here = Unit.objects.in_drawer().filter(variant=variant, purpose=Unit.Purpose.SALE)
    unit = lying_here.filter(received_on__lte=localdate(at)).order_by("number").first()
    line = None if unit else ordered(fitting, comes_in_days=buying.fetched_after_days, salon=salon, at=at)
    sale = agree(fitting, unit, line, buying.paying, desk, salon, at)
    fetched_at = at + timedelta(days=buying.fetched_after_days)
    if line:
        story.then(fetched_at - timedelta(hours=5), _come_in, line, desk)
    story.then(fetched_at, _fetch, sale.lines.get(), buying, desk, salon)


def agree(
    fitting: Fitting,
    unit: Unit | None,
    order_line: OrderLine | None,
    paying: Paying,
    desk: Desk,
    salon: Salon,
    at: datetime,
) -> Sale:
    """The sale of what she chose, measured as it sat on her, with the part of its price that she pays at once."""
    by = fitting.stylist
    measured, _ = measured_for(fitting.client, _chosen(fitting))
    asked = LineAsked(
        unit=unit,
        order_line=order_line,
        discount_minor=paying.discount_minor,
        discount_because=paying.discount_because,
        measured=measured,
    )
    sale = agree_sale(client=fitting.client, lines=[asked], stylist=by, salon=salon, by=by, at=at)
    for deposit in Payment.objects.deposits_held().filter(client=fitting.client, amount_minor__lte=owed_for(sale)):
        count_deposit(payment=deposit, sale=sale)
    first = round(owed_for(sale) * PAID_AT_ONCE / WHOLE_MINOR) * WHOLE_MINOR
    if first:
        take_payment(
            sale=sale,
            amount_minor=first,
            method=paying.method,
            salon=salon,
            by=desk.staff["desk"],
            at=at,
            is_deposit=True,
        )
    return sale


def _chosen(fitting: Fitting) -> Variant:
    return Variant.objects.select_related("piece__base__maker").get(
        candidates__try_ons__in=fitting.try_ons.filter(outcome=TryOn.Outcome.CHOSEN)
    )


def ordered(fitting: Fitting, *, comes_in_days: int, salon: Salon, at: datetime) -> OrderLine:
    """What she chose, ordered for her and sent for."""
    variant, by = _chosen(fitting), fitting.stylist
    awaited = order_specially(client=fitting.client, variant=variant, salon=salon, by=by, at=at)
    line = awaited.order_line
    assert line is not None  # noqa: S101  # it was put on an order just now
    send(order=line.order, expected_on=localdate(at) + timedelta(days=comes_in_days), by=by, at=at)
    return line


def _come_in(line: OrderLine, desk: Desk, at: datetime) -> None:
    take_in(order=line.order, arrived=[Arrived(line, 1)], received_on=localdate(at), by=desk.staff["desk"], at=at)


def _fetch(line: SaleLine, buying: Buying, desk: Desk, salon: Salon, at: datetime) -> None:
    line.refresh_from_db()
    by = desk.staff["desk"]
    if owed := owed_for(line.sale):
        take_payment(sale=line.sale, amount_minor=owed, method=buying.paying.method, salon=salon, by=by, at=at)
    owned = hand_over_hers(line=line, since=localdate(at), by=line.sale.stylist or by, at=at)
    assert owned is not None  # noqa: S101  # the demo's clients agreed to their record
    buying.then(SaleLine.objects.get(pk=line.pk), owned, at)
