"""Agrees a sale, hands its pieces over, takes a line out of it, and cancels it: the only writer of Sale, and of a line
until it is taken back.

What a line comes to is `reckoning`'s, money and receipts are `paying`'s, taking back is `returning`'s. Rows are held in
one order: sale, line, order to the maker, unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from clients.consenting import locked
from clients.models import Client
from pieces.models import MakerOrder, OrderLine, PricedService, Sale, SaleLine, StockMovement, TaxRate, Unit, Variant
from pieces.reckoning import reckon
from pieces.stock import hand_over_unit, release_unit, reserve_unit
from salon.common.money import format_minor
from salon.models import Salon, User

MOST_LINES = 40


@dataclass(frozen=True)
class Measured:
    """How a piece fitted her when it was chosen; None where nobody measured. Millimetres, shares, ΔE00."""

    visit_reference: str = ""
    cover: float | None = None
    margin_mm: float | None = None
    clips_holding: int | None = None
    clips_total: int | None = None
    colour_difference: float | None = None
    length_step_mm: int | None = None
    is_first_piece: bool | None = None


@dataclass(frozen=True)
class LineAsked:
    """One thing she takes: a unit, a piece that is ordered for her, or something of the price list.

    price_minor: of one; the list price where it is left out. tax_rate: the usual one where it is left out, and none
    where the salon reckons with none. declared: she signed what the rate asks for. tried_on: she knows that the unit
    was for trying on.
    """

    unit: Unit | None = None
    order_line: OrderLine | None = None
    service: PricedService | None = None
    count: int = 1
    price_minor: int | None = None
    discount_minor: int = 0
    discount_because: str = ""
    tax_rate: TaxRate | None = None
    declared: bool = False
    tried_on: bool = False
    measured: Measured = Measured()


@transaction.atomic
def agree_sale(
    *,
    client: Client,
    lines: Sequence[LineAsked],
    salon: Salon,
    by: User,
    at: datetime,
    stylist: User | None = None,
    note: str = "",
    once: UUID | None = None,
) -> Sale:
    """Write down what she takes and set the units aside for her; the same form sent twice gives the same sale.

    Raises ValidationError where nothing is asked for, where a unit can't be sold to her, or where a price is in another
    currency than the salon's.
    """
    client = locked(client)
    if once and (made := Sale.objects.filter(once=once).first()):
        return made
    if not lines:
        raise ValidationError("Choose what she takes: a piece, or something of the price list.")
    if len(lines) > MOST_LINES:
        raise ValidationError(f"A sale holds up to {MOST_LINES} lines; make a second one.")
    sale = Sale(
        client=client,
        stylist=stylist,
        currency=salon.currency,
        prices_include_tax=salon.prices_include_tax,
        note=" ".join(note.split()),
        agreed_at=at,
        agreed_by=by,
        once=once,
    )
    sale.full_clean()
    sale.save()
    usual = TaxRate.objects.usual()
    for asked in sorted(lines, key=_in_the_order_of_rows):
        _add(sale, asked, usual, by, at)
    return sale


@transaction.atomic
def unit_came(*, line: SaleLine, unit: Unit, by: User, at: datetime) -> SaleLine:
    """The unit that was ordered for her is here: it stands on the line and is set aside for her."""
    line = _live(line)
    if line.unit_id is not None:
        raise ValidationError("The piece of this line is here already.")
    if unit.variant_id != line.variant_id:
        raise ValidationError(f"Unit {unit.number} is another piece than the one she ordered.")
    line.unit = _set_aside(unit, line.sale.client, by, at)
    return _kept(line)


@transaction.atomic
def hand_over(*, line: SaleLine, by: User, at: datetime) -> SaleLine:
    """She takes the piece with her, whether or not all is paid; something of the price list is done with at once."""
    line = _live(line)
    if line.handed_over_at:
        raise ValidationError("This has been handed over already.")
    if line.variant_id is not None:
        if line.unit is None:
            raise ValidationError("The piece has not come in yet.")
        line.unit = hand_over_unit(
            unit=line.unit, to=line.sale.client, kind=StockMovement.Kind.SOLD, sale_line=line, by=by, at=at
        )
    line.handed_over_at, line.handed_over_by = at, by
    return _kept(line)


@transaction.atomic
def cancel_sale(*, sale: Sale, because: str, by: User, at: datetime) -> Sale:
    """Nothing comes of it: units go back into the drawer. Before a piece is handed over, and with no money held."""
    sale = held(sale)
    if any(line.handed_over_at and line.variant_id for line in sale.lines.all()):
        raise ValidationError("A piece of this sale has been handed over; take it back instead.")
    paid = Sale.objects.with_money().get(pk=sale.pk).paid_minor  # type: ignore[attr-defined]  # annotated just now
    if paid:
        raise ValidationError(f"{format_minor(paid, sale.currency)} was paid; give it back first.")
    for line in sale.lines.select_for_update(of=("self",)).select_related("unit").order_by("unit", "pk"):
        _let_go(line, by, at)
    return _cancelled(sale, because, by, at)


@transaction.atomic
def take_out_line(*, line: SaleLine, because: str, by: User, at: datetime, order_goes_on: bool = False) -> Sale:
    """She takes this one thing no longer, though the rest of her sale stands: its unit goes back into the drawer.

    The line goes into a sale of its own, which is cancelled: there it stays with who took it out, when and why.
    order_goes_on: the order to its maker, which is on its way, stays as it is, for her. Raises ValidationError for what
    she has, for all that a sale holds, and where more was paid than the rest comes to.
    """
    line = _live(line)
    sale = Sale.objects.with_money().get(pk=line.sale_id)
    if line.handed_over_at:
        raise ValidationError("This has been handed over; a piece is taken back instead.")
    if not sale.lines.exclude(pk=line.pk).exists():
        raise ValidationError("This is all that the sale holds; cancel the sale instead.")
    if not order_goes_on:
        _refuse_while_on_its_way(line)
    over = sale.paid_minor - (sale.total_minor - line.total_minor)  # type: ignore[attr-defined]  # annotated just now
    if over > 0:
        told = format_minor(over, sale.currency)
        raise ValidationError(f"{told} more was paid than the rest of the sale comes to; give {told} back first.")
    line.sale = _cancelled(
        Sale(
            client_id=sale.client_id,
            stylist_id=sale.stylist_id,
            currency=sale.currency,
            prices_include_tax=sale.prices_include_tax,
            note=f"Taken out of sale {sale}.",
            taken_out_of_id=sale.pk,
            agreed_at=sale.agreed_at,
            agreed_by_id=sale.agreed_by_id,
        ),
        because,
        by,
        at,
    )
    _let_go(line, by, at)
    return line.sale


def held(sale: Sale) -> Sale:
    """The sale as kept now, held until the transaction ends; raises ValidationError when it was cancelled."""
    kept = Sale.objects.select_for_update().get(pk=sale.pk)  # whose it is may have changed while this was waited for
    if kept.is_cancelled:
        raise ValidationError(f"Sale {kept} was cancelled: {kept.cancelled_because}")
    return kept


def _in_the_order_of_rows(asked: LineAsked) -> tuple[int, int]:
    """Orders before units, each by its key, so that two sales at once never wait for each other."""
    return (asked.unit.pk if asked.unit else 0, asked.order_line.order_id if asked.order_line else 0)


def _add(sale: Sale, asked: LineAsked, usual: TaxRate | None, by: User, at: datetime) -> None:
    unit = asked.unit and _set_aside(asked.unit, sale.client, by, at)
    if unit and unit.purpose == Unit.Purpose.TRY_ON and not asked.tried_on:
        raise ValidationError(f"Unit {unit.number} is for trying on; say that she knows it.")
    if asked.order_line:
        _refuse_unless_on_order_for(sale.client, asked.order_line)
    variant = unit.variant if unit else asked.order_line.variant if asked.order_line else None
    rate = asked.tax_rate or (asked.service.tax_rate if asked.service else None) or usual
    if rate is not None and rate.asks_for_declaration and not asked.declared:
        raise ValidationError(
            f"“{rate}” holds only with her own signed declaration. Ask your tax office or an adviser."
        )
    price = _price(asked, variant, sale.currency)
    try:
        reckoned = reckon(
            price_minor=price,
            count=asked.count,
            discount_minor=asked.discount_minor,
            basis_points=rate.basis_points if rate else 0,
            prices_include_tax=sale.prices_include_tax,
        )
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from refusal
    line = SaleLine(
        sale=sale,
        says=_name(asked, variant),
        variant=variant,
        unit=unit,
        order_line=asked.order_line,
        service=asked.service,
        count=asked.count,
        price_minor=price,
        discount_minor=asked.discount_minor,
        discount_because=" ".join(asked.discount_because.split()),
        tax_name=rate.name if rate else "",
        tax_basis_points=rate.basis_points if rate else 0,
        tax_declared=asked.declared,
        tax_minor=reckoned.tax_minor,
        total_minor=reckoned.total_minor,
        cost_minor=_cost(unit or asked.order_line, sale.currency),
        **asdict(asked.measured),
    )
    _kept(line)


def _set_aside(unit: Unit, client: Client, by: User, at: datetime) -> Unit:
    """The unit, set aside for her; it may be so already, with or without her name."""
    stored = (
        Unit.objects.select_for_update(of=("self",)).select_related("variant__piece", "variant__shade").get(pk=unit.pk)
    )
    if stored.state == Unit.State.RESERVED:
        if stored.reserved_for_id == client.pk:
            return stored
        if stored.reserved_for_id is None:
            release_unit(unit=stored, by=by, at=at)
    return reserve_unit(unit=stored, client=client, by=by, at=at)


def _cancelled(sale: Sale, because: str, by: User, at: datetime) -> Sale:
    sale.cancelled_at, sale.cancelled_by, sale.cancelled_because = at, by, " ".join(because.split())
    if not sale.cancelled_because:
        raise ValidationError({"because": "Write why; it stays in the record."})
    sale.full_clean()
    sale.save()
    return sale


def _let_go(line: SaleLine, by: User, at: datetime) -> None:
    """It counts no longer; what is ordered for her can be sold to her anew."""
    line.is_live, line.order_line = False, None
    _kept(line)
    if line.unit is not None:
        _put_back(line.unit, by, at)


def _put_back(unit: Unit, by: User, at: datetime) -> None:
    """Into the drawer, unless it was lost or written off since it was set aside."""
    stored = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    if stored.state == Unit.State.RESERVED:
        release_unit(unit=stored, by=by, at=at)


def _refuse_unless_on_order_for(client: Client, order_line: OrderLine) -> None:
    """Refuse a line that is not ordered for her, or that nothing is awaited of; its order is held meanwhile."""
    order = MakerOrder.objects.select_for_update(of=("self",)).get(pk=order_line.order_id)
    kept = OrderLine.objects.filter(pk=order_line.pk).first()
    if kept is None or kept.for_client_id != client.pk:
        raise ValidationError("This piece is not ordered for her.")
    if kept.received_count:
        raise ValidationError("The piece that was ordered for her has come in; choose its unit.")
    if order.closed_at:
        raise ValidationError(f"Order {order} is closed; the piece will not come with it.")
    if SaleLine.objects.filter(order_line=kept).exists():
        raise ValidationError("The piece that is ordered for her is in a sale already.")


def _refuse_while_on_its_way(line: SaleLine) -> None:
    """Refuse a piece that its maker was sent an order for and that has not come; the order is held meanwhile."""
    if line.order_line is None or line.unit_id is not None:
        return
    order = MakerOrder.objects.select_for_update(of=("self",)).get(pk=line.order_line.order_id)
    if order.is_on_the_way:
        raise ValidationError(
            {
                "order_goes_on": f"It is ordered from its maker already, with {order}. Wait until it comes in, or say "
                "that the order goes on; it can be given up among the pieces on their way."
            }
        )


def _price(asked: LineAsked, variant: Variant | None, currency: str) -> int:
    if asked.price_minor is not None:
        return asked.price_minor
    if variant is not None:
        if variant.currency != currency:
            raise ValidationError(
                f"{variant.told(Salon.objects.default().units)} is priced in {variant.currency} and the salon sells in "
                f"{currency}; write the price."
            )
        return variant.price_minor
    if asked.service is None:
        raise ValidationError("A line sells a piece, or something of the price list.")
    return asked.service.price_minor


def _cost(piece: Unit | OrderLine | None, currency: str) -> int | None:
    """What it cost the salon; unknown where that is in another currency than what it sells for."""
    return piece.cost_minor if piece and piece.variant.currency == currency else None


def _name(asked: LineAsked, variant: Variant | None) -> str:
    if variant is None:
        return str(asked.service)
    number = f", unit {asked.unit.number}" if asked.unit else ""
    return f"{variant.piece}, {variant.shade.name}{number}"


def _live(line: SaleLine) -> SaleLine:
    """The line as kept now, held after its sale; raises ValidationError where it counts no longer."""
    held(line.sale)
    kept = SaleLine.objects.select_for_update(of=("self",)).select_related("sale__client", "unit").get(pk=line.pk)
    if kept.sale.is_cancelled:
        raise ValidationError(f"{kept} was taken out of this sale: {kept.sale.cancelled_because}")
    if not kept.is_live:
        raise ValidationError("This piece was taken back; what was sold stands in the record.")
    return kept


def _kept(line: SaleLine) -> SaleLine:
    line.full_clean()
    line.save()
    return line
