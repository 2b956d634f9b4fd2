"""A receipt as it was issued: from what was kept that day, so that a reprint years later is the same paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.timezone import localdate

from fittings.paper.salon_words import SalonWords, in_one_line
from fittings.paper.sheet import Section, Sheet, Table, facts
from pieces.models import Receipt
from pieces.reckoning import percent
from salon.common.money import format_minor

Told = Callable[[int], str]


def receipt_paper(receipt: Receipt) -> Sheet:
    shown: Mapping[str, Any] = receipt.shown
    salon, client, amount = shown["salon"], shown["client"], shown["amount_minor"]
    day = SalonWords.day(localdate(receipt.issued_at))

    def told(minor: int) -> str:
        return format_minor(minor, shown["currency"])

    name = f"Receipt {receipt.number}"
    return Sheet(
        name=name,
        subject=shown["sale"],
        heading=f"{told(abs(amount))} {'paid' if amount > 0 else 'given back'} on {day}",
        salon_name=salon["name"],
        salon_address=in_one_line(salon["address"]),
        salon_phone=salon["phone"],
        salon_email=salon["email"],
        after_hours="",
        client_name=client["name"],
        client_reference=client["reference"],
        printed_on=day,
        sections=(
            _money(shown, told),
            *((_bought(shown, told),) if shown["lines"] else ()),
            *((_taken_back(shown, told),) if shown.get("taken_back") else ()),  # none in those of the first days
        ),
        footer=f"{name} of {salon['name']}" + (f", tax number {salon['tax_number']}" if salon["tax_number"] else ""),
    )


def _money(shown: Mapping[str, Any], told: Told) -> Section:
    amount = shown["amount_minor"]
    word = "Given back" if amount < 0 else "Deposit paid" if shown["is_deposit"] else "Paid"
    held = amount > 0 and not shown["sale"]
    about = shown["what_for"] or ("Held for you until you buy, or given back." if held else "")
    beyond = shown["paid_before_minor"] + amount - shown["total_minor"] if shown["sale"] else 0
    return Section(
        "This payment",
        facts=facts(
            (word, f"{told(abs(amount))}, {shown['method'].lower()}"),
            ("For", about),
            ("Paid before", told(shown["paid_before_minor"]) if shown["sale"] and shown["paid_before_minor"] else ""),
            ("Still to be paid", told(shown["still_owed_minor"]) if shown["sale"] else ""),
            ("Paid beyond what the sale comes to", told(beyond) if beyond > 0 else ""),
            ("Tax number of the salon", shown["salon"]["tax_number"]),
        ),
    )


def _bought(shown: Mapping[str, Any], told: Told) -> Section:
    rows = tuple(
        (line["says"], str(line["count"]), told(line["price_minor"]), _off(line, told), told(line["total_minor"]))
        for line in shown["lines"]
    )
    rates = tuple(
        (f"{rate['name']}, {percent(rate['basis_points'])}", told(rate["net_minor"]), told(rate["tax_minor"]))
        for rate in shown["rates"]
        if rate["name"]
    )
    taxed = (Table("Tax in it", ("Rate", "Without tax", "Tax"), rates),) if rates else ()
    includes = "with tax" if shown["prices_include_tax"] else "before tax"
    return Section(
        f"Sale {shown['sale']}",
        facts=facts(("Comes to", told(shown["total_minor"]))),
        tables=(Table(f"Lines; prices are {includes}", ("What", "How many", "Price", "Off", "To pay"), rows), *taxed),
    )


def _taken_back(shown: Mapping[str, Any], told: Told) -> Section:
    """What counts no longer, with the tax that was in it."""
    rows = tuple(
        (line["says"], told(line["total_minor"]), _rate(line), told(line["tax_minor"])) for line in shown["taken_back"]
    )
    columns = ("What", "It had come to", "Rate", "Tax in that")
    return Section("Taken back", tables=(Table("Counts no longer", columns, rows),))


def _rate(line: Mapping[str, Any]) -> str:
    return f"{line['tax_name']}, {percent(line['tax_basis_points'])}" if line["tax_name"] else "–"


def _off(line: Mapping[str, Any], told: Told) -> str:
    return f"{told(line['discount_minor'])}, {line['discount_because']}" if line["discount_minor"] else "–"
