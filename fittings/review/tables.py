"""A table of the review: what stands in each cell, what it is in a CSV file, and which rows lie behind it.

The page and the file are made from the same rows, so that they can't differ.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from math import isinf
from typing import Final

from pieces.review.rates import Rate
from salon.common.money import format_minor, minor_decimals

Opens = Callable[..., str]
"""The address of the rows behind a number, by what they are and which group."""
IN_SIGHT: Final = 12
"""Rows of a table that are shown at once."""


@dataclass(frozen=True)
class Column:
    """label: over the column; file: one or more columns of the CSV file, the label itself where it is left out."""

    label: str
    file: tuple[str, ...] = ()

    @property
    def in_file(self) -> tuple[str, ...]:
        return self.file or (self.label,)


@dataclass(frozen=True)
class Cell:
    """shown: in words; more: in smaller ones below; values: in the file; both lead to the rows behind them, if any."""

    shown: str
    values: tuple[object, ...]
    href: str = ""
    more: str = ""
    more_href: str = ""


@dataclass(frozen=True)
class Row:
    name: str
    cells: Sequence[Cell]

    @property
    def in_file(self) -> list[object]:
        return [self.name, *(value for cell in self.cells for value in cell.values)]


@dataclass(frozen=True)
class Table:
    """of: over the names of the rows; empty: what is said instead of a table without rows."""

    key: str
    caption: str
    of: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    empty: str = "There is nothing to count yet."
    notes: Sequence[str] = field(default=())

    @property
    def header(self) -> list[str]:
        return [self.of, *(name for column in self.columns for name in column.in_file)]

    def in_file(self) -> Iterator[list[object]]:
        return (row.in_file for row in self.rows)

    @property
    def first(self) -> list[tuple[Row, list[tuple[str, Cell]]]]:
        """The rows in sight; where only a few are left over, they are all."""
        return self.labelled[:IN_SIGHT] if len(self.rows) > IN_SIGHT + 3 else self.labelled

    @property
    def others(self) -> list[tuple[Row, list[tuple[str, Cell]]]]:
        return self.labelled[len(self.first) :]

    @property
    def caption_of_others(self) -> str:
        return f"{self.caption}: {len(self.others)} more"

    @property
    def labelled(self) -> list[tuple[Row, list[tuple[str, Cell]]]]:
        """Each row with the label of each of its cells."""
        labels = [column.label for column in self.columns]
        return [(row, list(zip(labels, row.cells, strict=True))) for row in self.rows]


def count(number: int, href: str = "", more: str = "") -> Cell:
    return Cell(f"{number:,}", (number,), href if number else "", more)


def share_said(share: float | None) -> str:
    """“12 %”, or a dash where nothing was counted; a tenth of a percent below one.

    >>> share_said(0.1234), share_said(0.004), share_said(None)
    ('12 %', '0.4 %', '–')
    """
    if share is None:
        return "–"
    return f"{100 * share:.1f} %" if 0 < share < 0.01 else f"{100 * share:.0f} %"


def interval_said(low: float, high: float) -> str:
    return f"95 %: {100 * low:.0f} to {100 * high:.0f} %"


RATE_IN_FILE = ("count", "of", "share", "low 95 %", "high 95 %")


def rate_columns(label: str) -> Column:
    return Column(label, tuple(f"{label}: {part}" for part in RATE_IN_FILE))


def rate(of: Rate, href: str = "", among: str = "") -> Cell:
    """A share with its interval and its counts. href: the rows counted; among: those they are counted of."""
    values = (of.x, of.n, _rounded(of.share), _rounded(of.low), _rounded(of.high))
    if of.share is None:
        return Cell("–", values, more="none counted")
    said = f"{of.x:,} of {of.n:,}; {interval_said(of.low, of.high)}"
    return Cell(share_said(of.share), values, href if of.x else "", said, among)


def money(minor: int | None, currency: str, href: str = "", more: str = "") -> Cell:
    if minor is None:
        return Cell("–", ("",), "", more)
    return Cell(format_minor(minor, currency), (in_units(minor, currency),), href, more)


def in_units(minor: int, currency: str) -> str:
    """An amount as a file holds it: a plain number.

    >>> in_units(123450, "GBP"), in_units(-5, "GBP"), in_units(1200, "JPY")
    ('1234.50', '-0.05', '1200')
    """
    decimals = minor_decimals(currency)
    whole, fine = divmod(abs(minor), 10**decimals)
    return ("-" if minor < 0 else "") + f"{whole}" + (f".{fine:0{decimals}d}" if decimals else "")


def days(number: float | None, href: str = "", more: str = "") -> Cell:
    return Cell("–", ("",), "", more) if number is None else Cell(f"{number:.0f} days", (round(number, 1),), href, more)


def words(text: str, more: str = "") -> Cell:
    return Cell(text, (text,), "", more)


def times_said(ratio: float) -> str:
    return "without limit" if isinf(ratio) else f"{ratio:.1f}"


def _rounded(share: float | None) -> object:
    return "" if share is None else round(share, 4)
