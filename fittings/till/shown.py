"""What the page of a sale shows: its lines, its money, and what is held for her. Never what a piece cost the salon."""

from __future__ import annotations

from dataclasses import dataclass

from fittings.till.money_forms import TakeOutForm
from pieces.models import Payment, Sale, SaleLine
from pieces.reckoning import TaxOfRate, by_rate, percent


@dataclass(frozen=True)
class LineShown:
    line: SaleLine
    rate: str
    came_back: bool
    take_out: TakeOutForm | None
    """Asks why she takes it no longer, where that can be."""

    @property
    def waits(self) -> bool:
        """A piece that is in the salon and can be handed over."""
        return bool(self.line.is_live and self.line.unit_id and not self.line.handed_over_at)

    @property
    def is_on_order(self) -> bool:
        return bool(self.line.is_live and self.line.variant_id and not self.line.unit_id)


@dataclass(frozen=True)
class SaleShown:
    lines: list[LineShown]
    taken_out: list[SaleLine]
    """What she was to have and takes no longer, each in a cancelled sale of its own."""
    rates: list[TaxOfRate]
    payments: list[Payment]
    deposits: list[Payment]
    total_minor: int
    paid_minor: int

    @property
    def owed_minor(self) -> int:
        return max(0, self.total_minor - self.paid_minor)

    @property
    def is_begun(self) -> bool:
        """A piece was handed over: it is taken back now, not cancelled."""
        return any(one.line.handed_over_at and one.line.variant_id for one in self.lines)


def sale_shown(sale: Sale, *, refused: TakeOutForm | None = None) -> SaleShown:
    """In a fixed number of queries, however long it is. refused: a form that is shown again as it was sent."""
    came_back = ("taken_back__reason", "taken_back__by", "taken_back__allowed_by", "taken_back__exchanged_for")
    lines = list(sale.lines.select_related("unit", "handed_over_by", *came_back, "order_line__order"))
    payments = list(sale.payments.select_related("by", "receipt").order_by("at", "pk"))
    counted = [line for line in lines if line.is_live or sale.is_cancelled]
    taken_out = SaleLine.objects.filter(sale__taken_out_of=sale).order_by("sale__cancelled_at", "pk")
    return SaleShown(
        lines=[
            LineShown(
                line,
                rate=percent(line.tax_basis_points) if line.tax_name else "",
                came_back=hasattr(line, "taken_back"),
                take_out=_take_out(line, refused, is_alone=len(lines) == 1),
            )
            for line in lines
        ],
        taken_out=list(taken_out.select_related("sale__cancelled_by")),
        rates=by_rate((one.tax_name, one.tax_basis_points, one.tax_minor, one.total_minor) for one in counted),
        payments=payments,
        deposits=[] if sale.is_cancelled else list(Payment.objects.deposits_held().filter(client=sale.client)),
        total_minor=sum(line.total_minor for line in counted),
        paid_minor=sum(payment.amount_minor for payment in payments),
    )


def _take_out(line: SaleLine, refused: TakeOutForm | None, *, is_alone: bool) -> TakeOutForm | None:
    if refused and refused.line.pk == line.pk:
        return refused
    return TakeOutForm(line=line) if line.is_live and not line.handed_over_at and not is_alone else None
