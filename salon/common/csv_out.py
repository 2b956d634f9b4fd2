"""Hands a table out as a CSV file that a spreadsheet opens as text and numbers, never as a formula.

UTF-8 with a byte order mark, commas, RFC 4180 quoting (MEMORY). A cell that a spreadsheet would take for a formula gets
an apostrophe in front, as OWASP's page on CSV injection advises (MEMORY). Rows are written as they come, so that a long
table needs no more memory than a short one.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Final

from django.http import StreamingHttpResponse
from django.utils.timezone import localtime

_STARTS: Final = r"=+\-@\t\r\n|%＝＋－＠"  # the wide ones begin formulas where keyboards type them
_FORMULA: Final = re.compile(rf"'*(?:\s*[{_STARTS}]|[\t\r\n])")  # with any apostrophes, so that one more can be told
_NUMBER: Final = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")


def csv_response(name: str, header: Sequence[str], rows: Iterable[Sequence[object]]) -> StreamingHttpResponse:
    """A file of that name (without its ending) with a header and these rows, to be saved."""
    return StreamingHttpResponse(
        csv_lines(header, rows),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"', "Cache-Control": "private, no-store"},
    )


def csv_lines(header: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """The file, a line at a time."""
    writer = csv.writer(_Echo())
    yield "\ufeff"
    yield writer.writerow([cell_of(cell) for cell in header])
    for row in rows:
        yield writer.writerow([cell_of(cell) for cell in row])


def cell_of(value: object) -> str | int | float:
    """The cell as it is written.

    >>> cell_of("=1+1"), cell_of("-2.5"), cell_of(None), cell_of("Heron")
    ("'=1+1", '-2.5', '', 'Heron')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return value
    if isinstance(value, datetime):
        return localtime(value).strftime("%Y-%m-%d %H:%M")
    if isinstance(value, date):
        return value.isoformat()
    text = str(value)
    if _FORMULA.match(text) and not _NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def as_it_was(cell: str) -> str:
    """The text of which `cell_of` made this cell: without the apostrophe that keeps it from being a formula.

    >>> as_it_was("'=1+1"), as_it_was("''=1+1"), as_it_was("'tis"), as_it_was("=1+1")
    ('=1+1', "'=1+1", "'tis", '=1+1')
    """
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell, 1) else cell


class _Echo:
    """Gives back what is written to it, where csv expects a file."""

    def write(self, line: str) -> str:
        return line
