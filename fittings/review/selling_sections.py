"""From consults to pieces that stay, and what the drawers hold: the first half of the review."""

from __future__ import annotations

from collections.abc import Mapping

from fittings.review import pictures
from fittings.review.section import NO_PICTURE, Reading, Section
from fittings.review.tables import (
    Cell,
    Column,
    Row,
    Table,
    count,
    days,
    in_units,
    money,
    rate,
    rate_columns,
    share_said,
)
from fittings.review.visits import Led, Tried
from pieces.owner_review import Sold, WhatWasSold
from pieces.review.rates import FEWEST_TO_RANK, rate_of
from pieces.review.worth import Worth
from pieces.review_asked import total
from pieces.review_groups import ALL, Group
from pieces.stock_review import Stock, worth_by_group
from salon.common.money import format_minor

NONE = Cell("–", ("",))


def from_consult_to_kept(led: Led, sold: WhatWasSold, tried: Mapping[Group, Tried], reading: Reading) -> Section:
    """The steps of all consults as a picture, and the same by group."""
    steps = (
        ("Consults", led.consults, None, "consults", ""),
        ("With a try-on", led.tried, led.consults, "consults-tried", "consults"),
        ("That led to a sale", led.sold, led.consults, "consults-sold", "consults"),
        ("Nothing back after 30 days", led.kept_30, led.old_30, "consults-kept-30", "consults-old-30"),
        ("Nothing back after 90 days", led.kept_90, led.old_90, "consults-kept-90", "consults-old-90"),
    )
    rows = []
    for name, number, among, what, out_of in steps:
        share = _dashes(5)
        if among is not None:
            share = rate(rate_of(min(number, among), among), reading.opens(what), reading.opens(out_of))
        rows.append(Row(name, (count(number, reading.opens(what)), share)))
    young = [
        f"Sold too recently to know whether it is kept for {after} days: {led.sold - old:,}."
        for after, old in ((30, led.old_30), (90, led.old_90))
        if led.sold - old
    ]
    table = Table(
        "steps",
        "From consult to kept",
        "Step",
        (Column("Consults"), rate_columns("Share")),
        rows if led.consults else (),
        empty="There was no consult in these days.",
        notes=(
            "A try-on and a sale are counted of all consults; kept, of those that led to a sale long enough ago.",
            *young,
        ),
    )
    picture = NO_PICTURE
    if led.consults and reading.draws:
        drawn = [
            pictures.Bar(
                name, number / led.consults, _bar_says(number, among), is_second=what.startswith("consults-kept")
            )
            for name, number, among, what, _ in steps
        ]
        picture = pictures.bars(drawn, key="steps", title="From consult to kept, in consults")
    all_sold = sold.all
    elsewhere = f"Pieces sold in these days: {all_sold.sold:,}; of them came back since: {all_sold.returned:,}."
    return Section(
        "kept", "Consults, try-ons, sales, kept", (elsewhere,), (table, _by_group(sold, tried, reading)), picture
    )


def _bar_says(number: int, among: int | None) -> str:
    return (
        f"{number:,}" if among is None else f"{number:,} of {among:,}, {share_said(number / among if among else None)}"
    )


def _by_group(sold: WhatWasSold, tried: Mapping[Group, Tried], reading: Reading) -> Table:
    of = reading.asked.grouping.label
    names = sorted({**sold.by_group, **tried}, key=lambda group: (-sold.by_group.get(group, Sold()).sold, group.name))
    rows = [
        _group_row(group.name, group.key, sold.by_group.get(group, Sold()), tried.get(group, Tried()), reading)
        for group in names
    ]
    if len(rows) > 1:
        rows.insert(0, _group_row("All together", "", sold.all, total(Tried, tried.values()), reading))
    return Table(
        "kept-by-group",
        f"The same by {of.lower()}, in pieces",
        of,
        (
            Column("Put forward"),
            Column("Tried on"),
            Column("Sold"),
            rate_columns("Kept after 30 days"),
            Column("Not yet 30 days"),
            rate_columns("Kept after 90 days"),
            Column("Not yet 90 days"),
        ),
        rows,
        empty="Nothing was put forward or sold in these days.",
        notes=("A piece counts as sold on the day it was handed over.",),
    )


def _group_row(name: str, key: str, sold: Sold, tried: Tried, reading: Reading) -> Row:
    def opens(what: str) -> str:
        return reading.opens(what, key)

    return Row(
        name,
        (
            count(tried.put_forward, opens("put-forward")),
            count(tried.tried_on, opens("tried-on")),
            count(sold.sold, opens("sold")),
            rate(rate_of(sold.kept_30, sold.old_30), opens("kept-30"), opens("old-30")),
            count(sold.sold - sold.old_30, opens("not-yet-30")),
            rate(rate_of(sold.kept_90, sold.old_90), opens("kept-90"), opens("old-90")),
            count(sold.sold - sold.old_90, opens("not-yet-90")),
        ),
    )


def in_the_drawers(sold: WhatWasSold, stock: Mapping[Group, Stock], reading: Reading) -> Section:
    """Sell-through, days, margin, dead stock and money tied up, by group."""
    currency = reading.asked.currency
    worth = worth_by_group(sold.by_group, stock)
    everything = total(Stock, stock.values())
    in_all = worth_by_group({ALL: sold.all}, {ALL: everything})[ALL]
    order = sorted(worth, key=lambda group: (-worth[group].tied_up_minor, group.name))
    rows = [
        _stock_row(group.name, group.key, worth[group], sold.by_group.get(group, Sold()), stock.get(group), reading)
        for group in order
        if not (reading.asked.grouping.by_stylist and group is ALL)
    ]
    rows.insert(0, _stock_row("All together", "", in_all, sold.all, everything, reading))
    says = [
        f"Units for sale: {everything.lying:,}, {format_minor(in_all.tied_up_minor, currency)} at cost"
        f"{_of_known(everything.lying_costed, everything.lying)}."
        f" Dead stock among them: {everything.dead:,}, {format_minor(in_all.dead_minor, currency)}.",
        f"Dead stock: for sale and here for {reading.asked.dead_after_days} days or longer, with none of its kind sold"
        " meanwhile.",
    ]
    if everything.try_on:
        says.append(
            f"Units for trying on, besides: {everything.try_on:,}, {format_minor(everything.try_on_minor, currency)}"
            f" at cost{_of_known(everything.try_on_costed, everything.try_on)}."
        )
    empty = not (everything.lying or everything.could or sold.all.sold)
    table = Table(
        "stock",
        f"What was sold of what could be, and what lies there, by {reading.asked.grouping.label.lower()}",
        reading.asked.grouping.label,
        (
            rate_columns("Sold and kept, of what could be sold"),
            Column("Days until sold"),
            Column("For sale here now"),
            Column("Days here so far"),
            Column("Margin", ("Margin", "Margin share", "Margin rests on")),
            Column("Dead stock", ("Dead stock: units", "Dead stock: cost")),
            Column("Money tied up"),
        ),
        () if empty else rows,
        empty="Nothing lay in the drawers and nothing was sold in these days.",
        notes=(
            "What could be sold: units for sale that were the salon’s when the days began, or came in since.",
            "Margin: takings without tax less cost, of pieces that were not taken back and whose cost is known.",
        ),
    )
    drawn = [
        pictures.Bar(
            group.name,
            worth[group].tied_up_minor / max(one.tied_up_minor for one in worth.values()),
            format_minor(worth[group].tied_up_minor, currency),
        )
        for group in order[: pictures.MOST_BARS]
        if worth[group].tied_up_minor
    ]
    picture = (
        pictures.bars(drawn, key="stock", title="Money tied up, at cost") if drawn and reading.draws else NO_PICTURE
    )
    return Section("drawers", "In the drawers", () if empty else says, (table,), picture)


def _stock_row(name: str, key: str, worth: Worth, sold: Sold, stock: Stock | None, reading: Reading) -> Row:
    currency = reading.asked.currency

    def opens(what: str) -> str:
        return reading.opens(what, key)

    margin = money(worth.margin_minor, currency, opens("costed"), _margin_more(worth, sold))
    margin = Cell(margin.shown, (*margin.values, _four(worth.margin_share), worth.margin_of), margin.href, margin.more)
    until_sold = days(sold.days_until_sold / sold.sold if sold.sold else None, opens("sold"), f"of {sold.sold:,} sold")
    if stock is None:  # a stylist has no stock
        return Row(name, (_dashes(5), until_sold, NONE, NONE, margin, _dashes(2), NONE))
    dead = count(worth.dead.x, opens("dead"), format_minor(worth.dead_minor, currency))
    return Row(
        name,
        (
            rate(worth.sell_through, opens("kept"), opens("could")),
            until_sold,
            count(stock.lying, opens("lying")),
            days(worth.days_in_drawer, opens("lying")),
            margin,
            Cell(
                dead.shown,
                (worth.dead.x, in_units(worth.dead_minor, currency)),
                dead.href,
                dead.more if worth.dead.x else "",
            ),
            money(worth.tied_up_minor, currency, opens("lying"), _of_known(stock.lying_costed, stock.lying).strip()),
        ),
    )


def _margin_more(worth: Worth, sold: Sold) -> str:
    if worth.margin_minor is None:
        return "no cost known" if sold.sold - sold.returned else ""
    small = "" if worth.margin_of >= FEWEST_TO_RANK else "; few"
    return f"{share_said(worth.margin_share)} of takings; pieces: {worth.margin_of:,}{small}"


def _of_known(known: int, all_of_them: int) -> str:
    return "" if known == all_of_them else f" (cost known of {known:,} of {all_of_them:,})"


def _dashes(columns: int) -> Cell:
    return Cell("–", ("",) * columns)


def _four(share: float | None) -> object:
    return "" if share is None else round(share, 4)
