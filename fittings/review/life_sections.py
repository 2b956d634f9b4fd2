"""How long pieces last and what falls due: the last of the review's numbers, in tables and pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from fittings.care.life import Lasted, Life, life_of, survival
from fittings.review import pictures
from fittings.review.lives import AHEAD_DAYS, Due
from fittings.review.section import NO_PICTURE, Reading, Section
from fittings.review.tables import Cell, Column, Row, Table, count, money, share_said
from pieces.models import Piece
from pieces.review_asked import total
from salon.common.money import format_minor

_FIBRES: Final = dict(Piece.Fibre.choices)
_MONTH: Final = 30.44
LOOKED_AFTER_MONTHS: Final = (6, 12, 18, 24)


def how_long(lasted: Mapping[str, Sequence[Lasted]], reading: Reading) -> Section:
    """Kaplan–Meier curves by fibre, and the median life with its interval."""
    rows, drawn = [], []
    for fibre, lives in lasted.items():
        life = life_of(lives)
        name = str(_FIBRES[fibre])
        curve = survival(lives) if life.worn_out else None
        worn = [_still_worn(curve, months) for months in LOOKED_AFTER_MONTHS]
        median = "–" if life.median_days is None else f"{life.median_days / _MONTH:.0f} months"
        between = _between(life)
        cell = Cell(
            median,
            tuple("" if one is None else one for one in (life.median_days, life.low_days, life.high_days)),
            "",
            between,
        )
        pieces = count(life.pieces, reading.opens(f"fibre:{fibre}"))
        rows.append(Row(name, (pieces, count(life.worn_out, reading.opens(f"fibre:{fibre}.worn-out")), cell, *worn)))
        if curve is not None:
            drawn.append(pictures.Curve(name, list(curve.quantiles), list(curve.probabilities)))
    table = Table(
        "lives",
        "How long pieces of each fibre last",
        "Fibre",
        (
            Column("Pieces"),
            Column("Worn out"),
            Column("Half worn out after", ("Median days", "Median low 95 %", "Median high 95 %")),
            *(
                Column(f"Still worn after {months} months", _share_in_file(f"Worn after {months} months"))
                for months in LOOKED_AFTER_MONTHS
            ),
        ),
        rows,
        empty="No piece has been a client’s yet.",
        notes=(
            "By Kaplan and Meier: a piece still worn, given back, lost or outgrown counts for as long as it was worn.",
            "All pieces that were ever a client’s, whatever days were asked for.",
        ),
    )
    told = "; ".join(f"{row.name}: half worn out after {row.cells[2].shown}, {row.cells[2].more}" for row in rows)
    title = "Share still worn, by fibre"
    picture = pictures.curves(drawn, key="lives", title=title, told=told) if drawn and reading.draws else NO_PICTURE
    return Section("lives", "How long pieces last", (), (table,), picture)


def _between(life: Life) -> str:
    if not life.worn_out:
        return "none has worn out"
    if life.low_days is None and life.high_days is None:
        return "too few have worn out to say"
    return f"95 %: {_end(life.low_days)} to {_end(life.high_days)} months"


def _end(days: int | None) -> str:
    return "unknown" if days is None else f"{days / _MONTH:.0f}"


def _still_worn(curve: Any, months: int) -> Cell:
    """The share still worn after so many months, with the band of the curve; a dash beyond what anybody saw."""
    from warnings import catch_warnings, simplefilter

    if curve is None or not len(curve.quantiles) or curve.quantiles[-1] < months * _MONTH:
        return Cell("–", ("", "", ""))
    with catch_warnings():  # undefined where all are left or none
        simplefilter("ignore", RuntimeWarning)
        band = curve.confidence_interval(confidence_level=0.95, method="log-log")
    at = months * _MONTH
    share, low, high = (float(part.evaluate(at)) for part in (curve, band.low, band.high))
    if not 0 <= low <= high <= 1:  # nothing worn out by then, or everything
        return Cell(share_said(share), (round(share, 4), "", ""))
    said = f"95 %: {100 * low:.0f} to {100 * high:.0f} %"
    return Cell(share_said(share), (round(share, 4), round(low, 4), round(high, 4)), "", said)


def _share_in_file(label: str) -> tuple[str, str, str]:
    return label, f"{label}: low 95 %", f"{label}: high 95 %"


def what_falls_due(due: Mapping[str, Due], reading: Reading) -> Section:
    """What is expected to have to be replaced within the next months, and what its like costs today."""
    currency = reading.asked.currency
    rows = [_due_row(str(_FIBRES[fibre]), fibre, one, reading) for fibre, one in due.items()]
    all_of_it = total(Due, due.values())
    if len(rows) > 1:
        rows.append(_due_row("All together", "all", all_of_it, reading))
    says = []
    if rows:
        says = [
            f"Falling due in the next {AHEAD_DAYS} days: {all_of_it.due:,}, worth"
            f" {format_minor(all_of_it.worth_minor, currency)} at today’s prices."
            f" Past their expected end besides: {all_of_it.overdue:,}."
        ]
    table = Table(
        "due",
        f"Expected ends within {AHEAD_DAYS} days",
        "Fibre",
        (
            Column(f"Due within {AHEAD_DAYS} days"),
            Column("Worth"),
            Column("Past their expected end"),
            Column("Worth of those"),
        ),
        rows,
        empty=f"No piece falls due in the next {AHEAD_DAYS} days.",
        notes=("From each piece’s own care dates; worth is what its like costs on the price list today.",),
    )
    return Section("due", "What falls due", says, (table,))


def _due_row(name: str, key: str, due: Due, reading: Reading) -> Row:
    ahead, behind = reading.opens(f"due:{key}.ahead"), reading.opens(f"due:{key}.behind")
    currency = reading.asked.currency
    return Row(
        name,
        (
            count(due.due, ahead),
            money(due.worth_minor, currency, ahead if due.due else ""),
            count(due.overdue, behind),
            money(due.overdue_worth_minor, currency, behind if due.overdue else ""),
        ),
    )
