"""How a sale is fetched and worded on a client's line."""

from __future__ import annotations

from typing import Any

from clients.models import Client
from fittings.timeline.rows import Row, Source, moment, said
from salon.common.money import format_minor


def _sale(sale: Any, imperial: bool) -> Row:
    lines = list(sale.lines.all())
    owed = sale.total_minor - sale.paid_minor
    cancelled = sale.cancelled_at and f"Cancelled on {moment(sale.cancelled_at)}: {sale.cancelled_because}"
    return Row(
        at=sale.agreed_at,
        word="Sale",
        title=", ".join(f"{line.count} × {line.says}" if line.count > 1 else line.says for line in lines),
        facts=said(
            ("Comes to", format_minor(sale.total_minor, sale.currency)),
            ("Still to be paid", owed > 0 and not cancelled and format_minor(owed, sale.currency)),
            ("Taken back", ", ".join(line.says for line in lines if hasattr(line, "taken_back"))),
            ("Agreed by", str(sale.agreed_by)),
            ("Note", sale.note),
            ("Reference", sale.reference),
        ),
        link="Open the sale",
        address=sale.get_absolute_url(),
        mended=cancelled or "",
        no_longer_counts=bool(cancelled),
    )


SALES: Source[Client] = Source(
    "sales",
    "pieces.view_sale",
    "agreed_at",
    lambda client: client.sales.with_money().select_related("agreed_by").prefetch_related("lines__taken_back"),
    _sale,
)
