"""Turns a maker's own file into lines of the catalogue's cells, by what its columns, numbers and words mean.

The file may name its columns as it likes, in any order, with commas, semicolons or tabs between them. Lines are counted
as an editor counts them. What it all means comes from the page and is remembered by `columns_kept`; what the lines do
to the catalogue is `planning`'s to say.
"""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from pieces.catalogue.cells import tidy
from pieces.catalogue.kinds import Column, Key, Kind
from pieces.catalogue.sheets import (
    EMPTY,
    MOST_COLUMNS,
    MOST_LINES,
    NO_LINES,
    Line,
    Sheet,
    first_line,
    printable,
    read_cell,
)
from salon.common.text_files import FileRefused, decoded, rows

LARGEST_BYTES: Final = 10_000_000
NOTHING: Final = "-"  # a maker's word that stands for an empty cell
MOST_WORDS: Final = 40  # of one column: who has more has taken the wrong column
_LONGEST_NAME: Final = 80
_SAMPLES: Final = 3
_SAMPLE_LINES: Final = 50


@dataclass(frozen=True, slots=True)
class MakersColumn:
    """One column of a maker's file: what it is called, and the first different things that stand in it."""

    name: str
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a maker's file means, each by the catalogue's column.

    columns: the maker's column. fixed: what stands in every line. units: the unit of bare numbers. words: {the maker's
    word, in small letters: the catalogue's, or NOTHING}.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


@dataclass(slots=True)
class MakerSheet(Sheet):
    """`strange`: by column, the maker's words that mean nothing yet, in small letters, and how many lines hold each."""

    strange: dict[str, dict[str, int]] = field(default_factory=dict)


def columns_in(content: bytes) -> list[MakersColumn]:
    """The columns of a file, each by a name of its own; FileRefused for what is no table."""
    lines = _lines(content)
    _, names = _named(lines)
    samples: list[list[str]] = [[] for _ in names]
    for (_, cells), _ in zip(lines, range(_SAMPLE_LINES), strict=False):
        for column, cell in zip(samples, cells, strict=False):
            shown = _shown(cell)
            if shown and shown not in column and len(column) < _SAMPLES:
                column.append(shown)
    return [MakersColumn(name, tuple(found)) for name, found in zip(names, samples, strict=True)]


def read_maker_sheet(
    kind: Kind, content: bytes, *, maker: str, meaning: Meaning, bases: Mapping[str, str] | None = None
) -> MakerSheet:
    """Read one file whole; nothing raises, everything wrong stands in `bad_lines`.

    bases: the base of each piece, for files that name none; None where a base is always named. A line that says of a
    record just what an earlier one said is passed over: lists of variants repeat their pieces.
    """
    sheet = MakerSheet(kind)
    try:
        lines = _lines(content)
        number, names = _named(lines)
        reader = _Reader(sheet, names, maker, meaning, bases, number)
        for number, cells in lines:
            if sheet.is_hopeless:
                break
            reader.read(number, cells)
        if not sheet.lines and not sheet.bad_lines:
            raise FileRefused(NO_LINES)
        if reader.repeated:
            says = "1 line says" if reader.repeated == 1 else f"{reader.repeated:,} lines say"
            verb = "is" if reader.repeated == 1 else "are"
            sheet.remarks.append(f"{says} what an earlier line said and {verb} passed over.")
    except FileRefused as refusal:
        sheet.refuse(*refusal.where)
    return sheet


class _Reader:
    """Reads line after line into a sheet."""

    def __init__(
        self,
        sheet: MakerSheet,
        names: list[str],
        maker: str,
        meaning: Meaning,
        bases: Mapping[str, str] | None,
        number: int,
    ) -> None:
        self.sheet, self.names, self.meaning, self.bases = sheet, names, meaning, bases
        self.repeated = 0
        self._by_key: dict[Key, dict[str, Any]] = {}
        self._always: dict[str, str] = {**meaning.fixed, "maker": maker}
        self._places: list[tuple[Column, int | None]] = []
        for column in sheet.kind.columns:
            name = meaning.columns.get(column.name)
            if name is not None and name not in names:
                raise FileRefused(f"There is no column “{name}” in this file. Say again which column it is.", number)
            if name is not None and column.name != "maker":
                self._places.append((column, names.index(name)))
            elif column.name in self._always:
                self._places.append((column, None))
            elif column.required:
                raise FileRefused(f"Say which column holds {column.name}, or what it is in every line.", number)

    def read(self, number: int, cells: list[str]) -> None:
        """Add the line to the sheet, or everything that is wrong with it."""
        sheet = self.sheet
        if any(cell.strip() for cell in cells[len(self.names) :]):
            says = f"This line has {len(cells):,} cells, the first line names {len(self.names)} columns."
            sheet.refuse(number, "", "", f"{says} A cell that holds the separator itself stands in quotation marks.")
            return
        values: dict[str, Any] = {}
        written: dict[str, str] = {}
        for column, place in self._places:
            cell = self._always[column.name] if place is None else cells[place] if place < len(cells) else ""
            try:
                written[column.name] = printable(cell)
                values[column.name] = self._read_cell(column, written[column.name])
            except _StrangeWord as strange:
                if strange.is_new:
                    sheet.refuse(number, column.name, tidy(cell), str(strange))
            except ValueError as refusal:
                sheet.refuse(number, column.name, tidy(cell), str(refusal))
        is_whole = len(values) == len(self._places)
        if self.bases is not None and values.get("piece") and not values.get("base"):
            is_whole = self._find_base(number, values) and is_whole
        if is_whole:
            self._add(Line(number, values, written))
        elif all(name in values for name in sheet.kind.key):
            sheet.broken.setdefault(sheet.kind.key_of(values), number)

    def _find_base(self, number: int, values: dict[str, Any]) -> bool:
        base = (self.bases or {}).get(values["piece"])
        if base is None:
            says = "This piece is known on no base or on several. Say which column holds the base, or mend the name."
            self.sheet.refuse(number, "piece", values["piece"], says)
            return False
        values["base"] = base
        return True

    def _add(self, line: Line) -> None:
        key = self.sheet.kind.key_of(line.values)
        if self._by_key.setdefault(key, line.values) is not line.values and self._by_key[key] == line.values:
            self.repeated += 1
        else:
            self.sheet.lines.append(line)

    def _read_cell(self, column: Column, meant: str) -> Any:
        said = self.meaning.words.get(column.name, {}).get(meant.casefold(), meant)
        if said == NOTHING and not column.required:
            said = ""
        try:
            return read_meant(column, said, self.meaning.units.get(column.name, ""))
        except ValueError as refusal:
            if column.cell.words and meant:
                raise self._strange(column, meant, f"{refusal} Or say above what it means.") from None
            raise

    def _strange(self, column: Column, word: str, sentence: str) -> _StrangeWord:
        known, word = self.sheet.strange.setdefault(column.name, {}), word.casefold()
        is_new = word not in known
        if not is_new or len(known) < MOST_WORDS:
            known[word] = known.get(word, 0) + 1
        return _StrangeWord(sentence, is_new=is_new)


def read_meant(column: Column, meant: str, unit: str) -> Any:
    """What the cell says when its bare numbers are in that unit; ValueError for one that says none of its own."""
    if not column.cell.units or not _is_bare(meant):
        return read_cell(column, meant)
    if not unit:
        raise ValueError(f"“{meant}” has no unit. Say in which unit the bare numbers of this column are.")
    return read_cell(column, f"{meant} {unit}")


class _StrangeWord(ValueError):  # noqa: N818  # raised and caught within a line, as Refused is
    """A word that means nothing yet; said once, however many lines hold it."""

    def __init__(self, sentence: str, *, is_new: bool) -> None:
        super().__init__(sentence)
        self.is_new = is_new


def _lines(content: bytes) -> Iterator[tuple[int, list[str]]]:
    text = decoded(content, largest_bytes=LARGEST_BYTES, empty=EMPTY)
    return rows(text, delimiter=_delimiter(text), most_lines=MOST_LINES)


def _delimiter(text: str) -> str:
    """The separator that parts the header into the most cells."""
    header = first_line(text)
    return max(",;\t", key=lambda separator: len(next(csv.reader([header], delimiter=separator), [])))


def _named(lines: Iterator[tuple[int, list[str]]]) -> tuple[int, list[str]]:
    """The header's line, and a name of its own for every column."""
    number, cells = next(lines, (1, []))
    while cells and not cells[-1].strip():
        cells.pop()
    if len(cells) > MOST_COLUMNS:
        raise FileRefused(
            f"The first line names {len(cells):,} columns, and at most {MOST_COLUMNS} can be read. Take out those that "
            "say nothing of the catalogue.",
            number,
        )
    if len(cells) < 2:
        raise FileRefused(
            "The first line does not name the columns, or they are not separated by commas, semicolons or tabs.", number
        )
    names: list[str] = []
    for place, cell in enumerate(cells, start=1):
        name = again = _shown(cell) or f"Column {place}"
        count = 1
        while again in names:
            count += 1
            again = f"{name} ({count})"
        names.append(again)
    return number, names


def _shown(cell: str) -> str:
    """What stands in a cell, fit to be shown."""
    plain = (" " if unicodedata.category(letter) in ("Cc", "Cs", "Co") else letter for letter in cell[:200])
    return tidy("".join(plain))[:_LONGEST_NAME]


def _is_bare(meant: str) -> bool:
    """A number that does not say its unit."""
    return bool(meant) and not any(letter.isalpha() or letter in "\"'″”°º" for letter in meant)
