"""The card of the client's page about money, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass

from clients.models import Client
from pieces.models import Payment, Sale

SALES_SHOWN = 5


@dataclass(frozen=True)
class HerMoney:
    """Her newest sales, those with money still to come, and deposits that are held for her."""

    sales: list[Sale]
    has_more: bool
    owing: list[tuple[Sale, int]]
    deposits: list[Payment]


def her_money(client: Client) -> HerMoney:
    """Three queries."""
    newest = list(client.sales.with_money()[: SALES_SHOWN + 1])
    owing = client.sales.owing()
    return HerMoney(
        sales=newest[:SALES_SHOWN],
        has_more=len(newest) > SALES_SHOWN,
        owing=[(sale, sale.total_minor - sale.paid_minor) for sale in owing],  # type: ignore[attr-defined]  # annotated
        deposits=list(Payment.objects.deposits_held().filter(client=client)),
    )
