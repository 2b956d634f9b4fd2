"""An itemised statement that a client can send to an insurer: what she bought and paid, and the prescriber's words.

It makes no claim: need, wording and codes are the prescriber's, and whether a plan pays is for the plan to say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from clients.models import Client
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Section, Sheet, Table, facts, sheet
from pieces.models import Payment, Sale, SaleLine
from pieces.reckoning import percent
from salon.common.money import format_minor
from salon.models import Salon

NO_CLAIM = (
    "This statement says what was bought and what was paid, and no more. The salon makes no claim to any insurer, "
    "diagnoses nothing and states no need.",
    "Why a piece was prescribed, in which words and under which codes, is for the prescriber to say; whether a plan "
    "pays is for the plan. For tax, ask an adviser.",
)
BY_HAND = "_" * 44


@dataclass(frozen=True)
class Prescribed:
    """As typed from the prescription; what is empty is left for the prescriber's hand."""

    her_number: str = ""
    prescriber: str = ""
    wording: str = ""
    codes: str = ""


def statement_paper(client: Client, sales: Iterable[Sale], prescribed: Prescribed, *, salon: Salon, on: date) -> Sheet:
    words = SalonWords.of(salon)
    chosen = Sale.objects.filter(pk__in=[sale.pk for sale in sales]).order_by("agreed_at", "pk")
    fetched = chosen.prefetch_related("lines__taken_back", "payments__receipt")
    paper = sheet(
        "Itemised statement",
        client,
        salon=salon,
        on=on,
        heading="What was bought and paid",
        sections=(
            Section("About this statement", says=NO_CLAIM, facts=facts(("Tax number of the salon", salon.tax_number))),
            *(_sale(sale, words) for sale in fetched),
            _prescriber(prescribed),
        ),
    )
    return replace(
        paper, footer="What was bought and paid. It makes no claim; need and codes are the prescriber’s to state."
    )


def _sale(sale: Sale, words: SalonWords) -> Section:
    def told(minor: int) -> str:
        return format_minor(minor, sale.currency)

    lines = list(sale.lines.all())
    kept = [line for line in lines if not hasattr(line, "taken_back")]
    total, tax = sum(line.total_minor for line in kept), sum(line.tax_minor for line in kept)
    payments = sorted(sale.payments.all(), key=lambda payment: (payment.at, payment.pk))
    paid = sum(payment.amount_minor for payment in payments)
    rows = tuple(
        (line.says, str(line.count), told(line.price_minor), _off(line, sale.currency), told(line.total_minor))
        for line in lines
    )
    return Section(
        f"Sale {sale.reference} of {words.day(words.day_of(sale.agreed_at))}",
        facts=facts(
            ("Comes to", f"{told(total)}, with {told(tax)} of tax in it" if tax else told(total)),
            ("Paid", told(paid)),
            ("Still to be paid", told(total - paid) if total > paid else ""),
            ("Paid beyond what it comes to", told(paid - total) if paid > total else ""),
        ),
        tables=(
            Table("Lines", ("What", "How many", "Price", "Off", "To pay"), rows),
            *((_paid(payments, words),) if payments else ()),
        ),
        points=tuple(_became(line, words) for line in lines if line.variant_id),
    )


def _paid(payments: list[Payment], words: SalonWords) -> Table:
    rows = tuple(
        (
            words.day(words.day_of(one.at)),
            format_minor(one.amount_minor, one.currency),
            one.get_method_display(),
            f"{one.receipt.number}" if hasattr(one, "receipt") else "–",
        )
        for one in payments
    )
    return Table("Payments; with a minus: given back", ("Day", "Amount", "How", "Receipt"), rows)


def _off(line: SaleLine, currency: str) -> str:
    return f"{format_minor(line.discount_minor, currency)}, {line.discount_because}" if line.discount_minor else "–"


def _became(line: SaleLine, words: SalonWords) -> str:
    rate = f", {line.tax_name} {percent(line.tax_basis_points)}" if line.tax_name else ""
    if back := getattr(line, "taken_back", None):
        return f"{line.says}{rate}: taken back on {words.day(words.day_of(back.at))}; not counted above."
    if line.handed_over_at:
        return f"{line.says}{rate}: handed over on {words.day(words.day_of(line.handed_over_at))}."
    return f"{line.says}{rate}: not handed over yet."


def _prescriber(prescribed: Prescribed) -> Section:
    return Section(
        "From the prescriber",
        says=("The words and codes here are the prescriber’s, not the salon’s.",),
        facts=facts(
            ("Policy or member number", prescribed.her_number),
            ("Prescribed by", prescribed.prescriber or BY_HAND),
            ("In these words", prescribed.wording or BY_HAND),
            ("Codes", prescribed.codes or BY_HAND),
        ),
    )
