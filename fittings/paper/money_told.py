"""What a client bought, paid, brought back and had ordered, for her full record; what it cost the salon is left out."""

from __future__ import annotations

from clients.models import Client
from fittings.paper.measured import Fact
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section, facts
from pieces.models import OrderLine, Payment, Sale, SaleLine, StockMovement
from salon.common.money import format_minor


def sales_section(client: Client, words: SalonWords) -> Section:
    """Each sale with its lines, and what was brought back of them."""
    rows = (
        Sale.objects.filter(client=client)
        .select_related("agreed_by", "stylist", "cancelled_by")
        .prefetch_related("lines__taken_back__reason", "lines__taken_back__by", "lines__handed_over_by")
    )
    return Section("Bought", entries=tuple(_sale(one, words) for one in rows), empty="Nothing was bought.")


def payments_section(client: Client, words: SalonWords) -> Section:
    rows = Payment.objects.filter(client=client).select_related("by", "sale", "receipt")
    return Section(
        "Paid and given back", points=tuple(_payment(one, words) for one in rows), empty="No money was taken."
    )


def ordered_section(client: Client, words: SalonWords) -> Section:
    """What was ordered for her, what is set aside for her now, and every move of a unit that was for her."""
    lines = OrderLine.objects.filter(for_client=client).select_related("order__maker", "variant__piece")
    units = client.units_set_aside.select_related("variant__piece")
    moves = StockMovement.objects.filter(for_client=client).select_related("unit", "by")
    return Section(
        "Ordered, set aside and handed over",
        points=(
            *(f"Ordered with {one.order.reference}: {one.variant.piece}" for one in lines),
            *(f"Set aside now: {one.variant.piece}, unit {one.number}" for one in units),
            *(
                f"{words.moment(one.at)}, unit {one.unit}: {one.get_kind_display().lower()}, by {one.by}"
                for one in moves
            ),
        ),
        empty="Nothing was.",
    )


def _sale(sale: Sale, words: SalonWords) -> Entry:
    cancelled = f"cancelled on {words.moment(sale.cancelled_at)}: {sale.cancelled_because}" if sale.cancelled_at else ""
    lines = list(sale.lines.all())
    total = sum(line.total_minor for line in lines)
    return Entry(
        f"{sale.reference}, agreed on {words.moment(sale.agreed_at)}",
        facts=(
            *facts(
                ("Agreed by", str(sale.agreed_by)),
                ("Stylist", str(sale.stylist) if sale.stylist else ""),
                ("Note", sale.note),
                ("Total", format_minor(total, sale.currency)),
            ),
            *(Fact(line.says, _line(line, sale.currency, words)) for line in lines),
        ),
        mended=cancelled,
        stands=not cancelled,
    )


def _line(line: SaleLine, currency: str, words: SalonWords) -> str:
    told = [f"{line.count} × {format_minor(line.price_minor, currency)}"]
    if line.discount_minor:
        told.append(f"discount {format_minor(line.discount_minor, currency)}, {line.discount_because}")
    if line.tax_name:
        told.append(f"{line.tax_name} {format_minor(line.tax_minor, currency)}")
    told.append(f"to pay {format_minor(line.total_minor, currency)}")
    if line.handed_over_at:
        told.append(f"handed over on {words.moment(line.handed_over_at)} by {line.handed_over_by}")
    if back := getattr(line, "taken_back", None):
        said = f" (“{back.said}”)" if back.said else ""
        told.append(f"taken back on {words.moment(back.at)} by {back.by}: {back.reason}{said}")
    return "; ".join(told)


def _payment(payment: Payment, words: SalonWords) -> str:
    receipt = getattr(payment, "receipt", None)
    about = payment.sale.reference if payment.sale else payment.what_for or "held for you"
    return (
        f"{words.moment(payment.at)}: {format_minor(payment.amount_minor, payment.currency)}, "
        f"{payment.get_method_display().lower()}, {about}{f', receipt {receipt.number}' if receipt else ''}, "
        f"by {payment.by}"
    )
