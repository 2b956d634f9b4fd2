"""Turns the bytes of one CSV file into lines of read cells, or says what is wrong with the file and with each line.

UTF-8 with or without a byte order mark, commas or semicolons (RFC 4180 quoting, MEMORY). Lines are counted as an editor
counts them, the header being line 1. What the lines mean for the catalogue is `planning`'s to say.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from typing import Any, Final

from pieces.catalogue.cells import nearest, tidy
from pieces.catalogue.kinds import Column, Kind
from pieces.catalogue.report import BadLine
from salon.common.csv_out import as_it_was
from salon.common.text_files import FileRefused, decoded, rows

LARGEST_BYTES: Final = 4_000_000
MOST_LINES: Final = 20_000
MOST_COLUMNS: Final = 200
LONGEST_CELL: Final = 1_000
EMPTY: Final = "The file is empty. Its first line names the columns."
NO_LINES: Final = "The file has a header and no lines under it. Write one line for each record."
MOST_BAD_LINES: Final = 200  # who sees two hundred mends the cause and tries again
_SHOWN: Final = 60


@dataclass(frozen=True, slots=True)
class Line:
    number: int
    values: dict[str, Any]
    written: dict[str, str]


@dataclass(slots=True)
class Sheet:
    """The good lines of one file, and what is wrong with the others. `broken`: lines by what of their key was read."""

    kind: Kind
    lines: list[Line] = field(default_factory=list)
    bad_lines: list[BadLine] = field(default_factory=list)
    broken: dict[tuple[Any, ...], int] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def refuse(self, line: int, column: str, written: str, sentence: str) -> None:
        shown = written if len(written) <= _SHOWN else written[:_SHOWN] + "…"
        self.bad_lines.append(BadLine(self.kind.file, line, column, shown, sentence))

    @property
    def is_hopeless(self) -> bool:
        return len(self.bad_lines) >= MOST_BAD_LINES


def read_sheet(kind: Kind, content: bytes) -> Sheet:
    """Read one file whole; nothing raises, everything wrong stands in `bad_lines`."""
    sheet = Sheet(kind)
    try:
        text = decoded(content, largest_bytes=LARGEST_BYTES, empty=EMPTY)
        lines = rows(text, delimiter=_delimiter(text, kind), most_lines=MOST_LINES)
        columns = _header(kind, *next(lines, (1, [])))
        for number, cells in lines:
            if sheet.is_hopeless:
                break
            _read_line(sheet, columns, number, cells)
        if not sheet.lines and not sheet.bad_lines:
            raise FileRefused(NO_LINES)
    except FileRefused as refusal:
        sheet.refuse(*refusal.where)
    return sheet


def _delimiter(text: str, kind: Kind) -> str:
    """The separator under which the header names most of the columns."""
    header = first_line(text)

    def known(separator: str) -> int:
        return sum(plain_name(name.strip('" ')) in kind.by_name for name in header.split(separator))

    return max(",;", key=known)


def first_line(text: str) -> str:
    """The header as it stands, or as much of it as names any file's columns."""
    return text.lstrip()[:20_000].partition("\n")[0]


def plain_name(name: str) -> str:
    return "_".join(tidy(name).casefold().replace("-", " ").replace("_", " ").split())


def _header(kind: Kind, number: int, cells: list[str]) -> list[Column]:
    """The columns in the order of the file; refuses unknown, missing and repeated ones."""
    if len(cells) > MOST_COLUMNS:
        raise FileRefused(
            f"The first line names {len(cells):,} columns, and at most {MOST_COLUMNS} can be read. The columns are: "
            f"{', '.join(kind.by_name)}.",
            number,
        )
    names = [plain_name(cell) for cell in cells]
    while names and not names[-1]:
        names.pop()
    if len(names) == 1 and names[0] not in kind.by_name:
        raise FileRefused(
            "The first line does not name the columns, or they are not separated by commas or semicolons. It has to "
            f"name at least: {', '.join(kind.required)}.",
            number,
            written=cells[0][:_SHOWN],
        )
    for place, name in enumerate(names):
        if not name:
            raise FileRefused(f"Column {place + 1} has no name. Name it or take it out.", number)
        if name not in kind.by_name:
            near = nearest(name, kind.by_name)
            right = f"Did you mean {near}?" if near else f"The columns are: {', '.join(kind.by_name)}."
            written = cells[place][:_SHOWN]
            raise FileRefused(f"There is no column of that name. {right}", number, written, written)
        if name in names[:place]:
            raise FileRefused("This column stands twice in the header. Keep one of them.", number, name, name)
    missing = [name for name in kind.required if name not in names]
    if missing:
        raise FileRefused(f"The header lacks {_and(missing)}. Add the column, with a cell in every line.", number)
    return [kind.by_name[name] for name in names]


def _read_line(sheet: Sheet, columns: list[Column], number: int, cells: list[str]) -> None:
    """Add the line to the sheet, or everything that is wrong with it."""
    cells = cells[: len(columns)] if not any(cell.strip() for cell in cells[len(columns) :]) else cells
    if len(cells) != len(columns):
        sheet.refuse(
            number,
            "",
            "",
            f"This line has {len(cells)} cells, the header names {len(columns)} columns. A cell that holds the "
            "separator itself, such as a decimal comma, stands in quotation marks.",
        )
        return
    values: dict[str, Any] = {}
    written: dict[str, str] = {}
    for column, cell in zip(columns, cells, strict=True):
        written[column.name] = tidy(cell)
        try:
            values[column.name] = read_cell(column, printable(cell))
        except ValueError as refusal:
            sheet.refuse(number, column.name, tidy(cell), str(refusal))
    if len(values) == len(columns):
        sheet.lines.append(Line(number, values, written))
    elif all(name in values for name in sheet.kind.key):
        sheet.broken.setdefault(sheet.kind.key_of(values), number)


def printable(cell: str) -> str:
    """What the cell says, spaces evened out; ValueError for what nobody can have meant to write there."""
    if len(cell) > LONGEST_CELL:
        raise ValueError(f"This cell is longer than {LONGEST_CELL:,} characters. Look for a missing quotation mark.")
    if "\n" in cell or "\r" in cell:
        raise ValueError("This cell runs over more than one line. Look for a missing quotation mark.")
    if any(unicodedata.category(character) in ("Cc", "Cs", "Co") and character != "\t" for character in cell):
        raise ValueError("This cell holds a character that can't be printed. Type it again.")
    return tidy(as_it_was(cell))


def read_cell(column: Column, meant: str) -> Any:
    if meant:
        return column.cell.read(meant)
    if column.required:
        raise ValueError(f"This cell is empty. Write {column.cell.how}.")
    return column.empty


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
