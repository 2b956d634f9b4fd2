"""What has happened with a client, with a unit or with a piece she owns, newest first, as one line cut into pages.

Every kind is asked once for a page however long the line is, and only if the reader may see it. A page begins after
the last row of the one before, so that nothing is shown twice when something is added meanwhile. Which kinds there are
is said in `lines_of`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from heapq import merge
from itertools import islice
from typing import Any, NamedTuple, Self
from urllib.parse import urlencode

from django.db.models import Q, QuerySet

from fittings.timeline.rows import Row, Source

PAGE_LENGTH = 20
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MARK = re.compile(r"([0-9]{1,17})-([0-9]{1,2})-([0-9]{1,18})")  # until the year 5138


class Mark(NamedTuple):
    """The place of a row on the line: newest first, then by kind, then the latest written first."""

    at: datetime
    source: int
    pk: int

    def order(self) -> tuple[float, int, int]:
        return (-((self.at - _EPOCH) // timedelta(microseconds=1)), self.source, -self.pk)

    def __str__(self) -> str:
        return f"{(self.at - _EPOCH) // timedelta(microseconds=1)}-{self.source}-{self.pk}"

    @classmethod
    def read(cls, text: str) -> Self:
        """The mark that was written so; raises ValueError for any other text."""
        found = _MARK.fullmatch(text)
        if not found:
            raise ValueError(f"“{text[:60]}” is no place on a line.")
        microseconds, source, pk = map(int, found.groups())
        return cls(_EPOCH + timedelta(microseconds=microseconds), source, pk)


@dataclass(frozen=True)
class LinePage:
    """One page of the line; `older` marks where the next begins, empty on the last.

    `abouts` are the words a reader may narrow the line by, `about` the one she did, or nothing.
    """

    rows: list[Row]
    older: str
    abouts: tuple[str, ...] = ()
    about: str = ""

    @property
    def narrowed(self) -> str:
        """The query of the newest page."""
        return f"?{urlencode({'show': self.about})}" if self.about else ""

    @property
    def older_query(self) -> str:
        """The query of the next page."""
        return f"?{urlencode({'before': self.older} | ({'show': self.about} if self.about else {}))}"


def page_of_line(
    subject: Any,
    sources: Sequence[Source[Any]],
    *,
    may: Callable[[str], bool],
    imperial: bool = False,
    before: Mark | None = None,
    about: str = "",
) -> LinePage:
    """The newest rows older than `before` that a reader with these permissions may see; lengths in her units.

    about: the one word to narrow the line by; one that is not among hers narrows nothing.
    """
    seen = [(number, source) for number, source in enumerate(sources) if may(source.needs)]
    abouts = tuple(dict.fromkeys(source.about for _, source in seen))
    about = about if about in abouts else ""
    found: list[Iterator[tuple[Mark, Source[Any], Any]]] = [
        _marked(number, source, _older(number, source, subject, before)[: PAGE_LENGTH + 1])
        for number, source in seen
        if about in ("", source.about)
    ]
    page = list(islice(merge(*found, key=lambda row: row[0].order()), PAGE_LENGTH + 1))
    shown = page[:PAGE_LENGTH]
    return LinePage(
        rows=[source.row(record, imperial) for _, source, record in shown],
        older=str(shown[-1][0]) if len(page) > PAGE_LENGTH else "",
        abouts=abouts,
        about=about,
    )


def _older(number: int, source: Source[Any], subject: Any, before: Mark | None) -> QuerySet[Any]:
    records = source.records(subject).order_by(f"-{source.dated_by}", f"-{source.key}")
    if before is None:
        return records
    earlier = Q(**{f"{source.dated_by}__lt": before.at})
    if number > before.source:
        earlier |= Q(**{source.dated_by: before.at})
    elif number == before.source:
        earlier |= Q(**{source.dated_by: before.at, f"{source.key}__lt": before.pk})
    return records.filter(earlier)


def _marked(number: int, source: Source[Any], records: QuerySet[Any]) -> Iterator[tuple[Mark, Source[Any], Any]]:
    for record in records:
        yield Mark(getattr(record, source.dated_by), number, getattr(record, source.key)), source, record
