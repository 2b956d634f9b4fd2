"""Reads people from CSV. The columns may stand in any order and be called as lists of addresses usually call them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Final

from clients.registering import ClientFields
from clients.taking_in.fields_read import checked, day_of_birth, plain
from clients.taking_in.people import LARGEST_BYTES, MOST_PEOPLE, PeopleRead, Person
from salon.common.text_files import FileRefused, decoded, rows

COLUMNS: Final[Mapping[str, tuple[str, ...]]] = {
    "given_name": ("given name", "first name", "forename"),
    "family_name": ("family name", "last name", "surname"),
    "preferred_name": ("preferred name", "likes to be called", "nickname"),
    "phone": ("phone", "telephone", "phone number", "mobile", "mobile phone", "mobile number", "tel"),
    "email": ("email", "e mail", "email address", "e mail address", "mail"),
    "born_on": ("born on", "date of birth", "birth date", "birthday", "born"),
    "guardian_name": ("guardian name", "guardian"),
}
NEEDED: Final = ("given_name", "family_name")
MOST_COLUMNS: Final = 200
_CALLED = {called: column for column, names in COLUMNS.items() for called in names}
_EMPTY = "The file is empty. Its first line names the columns: given name, family name, phone, e-mail, date of birth."


def read_csv(content: bytes, *, today: date) -> PeopleRead:
    """Read one file whole; nothing raises, everything wrong stands in `to_mend`."""
    read = PeopleRead()
    try:
        text = decoded(content, largest_bytes=LARGEST_BYTES, empty=_EMPTY)
        lines = rows(text, delimiter=_delimiter(text), most_lines=MOST_PEOPLE)
        columns = _header(read, *next(lines, (1, [])))
        for number, cells in lines:
            if read.is_hopeless:
                break
            _read_line(read, columns, number, cells, today)
        if not read.people and not read.to_mend:
            raise FileRefused("The file has a header and nobody under it. Write one line for each client.")
    except FileRefused as refusal:
        line, _, written, sentence = refusal.where
        read.refuse(line, written, sentence)
    return read


def _delimiter(text: str) -> str:
    """The separator under which the header names most of the columns."""
    header = next((line for line in text.splitlines() if line.strip()), "")[:10_000]
    return max(",;\t", key=lambda separator: sum(_plain(name) in _CALLED for name in header.split(separator)))


def _plain(name: str) -> str:
    words = name.strip().strip('"').casefold().replace("-", " ").replace("_", " ").split()
    return " ".join(words)


def _header(read: PeopleRead, number: int, cells: list[str]) -> list[str | None]:
    """Which fact each column tells, None for one that is left out; refuses a header without the two names."""
    if len(cells) > MOST_COLUMNS:
        raise FileRefused(
            f"The first line names {len(cells):,} columns. Take out those that say nothing of who she is."
        )
    columns: list[str | None] = []
    left_out = []
    for cell in cells:
        column = _CALLED.get(_plain(cell))
        if column in columns and column:
            raise FileRefused(
                f"Two columns tell the same: {column.replace('_', ' ')}. Keep one of them.", number, column, cell
            )
        if column is None and cell.strip():
            left_out.append(plain_or_dots(cell))
        columns.append(column)
    missing = [name.replace("_", " ") for name in NEEDED if name not in columns]
    if missing:
        raise FileRefused(
            f"The first line has to name the columns, and lacks: {' and '.join(missing)}. Known are: "
            f"{', '.join(names[0] for names in COLUMNS.values())}; commas, semicolons or tabs stand between them.",
            number,
        )
    if left_out:
        read.remarks.append(f"Not taken in: {', '.join(left_out)}.")
    return columns


def plain_or_dots(text: str) -> str:
    """What stands in a cell, fit to be shown."""
    try:
        return plain(text[:40])
    except ValueError:
        return "…"


def _read_line(read: PeopleRead, columns: list[str | None], number: int, cells: list[str], today: date) -> None:
    """Add the person, or what is wrong with her line."""
    written = ", ".join(plain_or_dots(cell) for cell in cells[:8] if cell.strip())
    if any(cell.strip() for cell in cells[len(columns) :]):
        says = f"This line has {len(cells):,} cells, the first line names {len(columns)} columns."
        read.refuse(number, written, f"{says} A cell that holds the separator itself stands in quotation marks.")
        return
    try:
        told = {column: plain(cell) for column, cell in zip(columns, cells, strict=False) if column}
        fields: ClientFields = {
            "given_name": told.get("given_name", ""),
            "family_name": told.get("family_name", ""),
            "preferred_name": told.get("preferred_name", ""),
            "phone": told.get("phone", ""),
            "email": told.get("email", ""),
            "born_on": day_of_birth(told.get("born_on", ""), today=today),
            "guardian_name": told.get("guardian_name", ""),
        }
        read.people.append(Person(number, checked(fields)))
    except ValueError as refusal:
        read.refuse(number, written, str(refusal))
