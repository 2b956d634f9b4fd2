"""What has happened with a client, newest first: her appointments, visits, assessments, consents, skin tests, the
pieces she chose and the changes of her details, as one line cut into pages.

Every kind is asked once for a page however long the line is, and only if the reader may see it. A page begins after
the last row of the one before, so that nothing is shown twice when something is
added meanwhile.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from heapq import merge
from itertools import islice
from typing import Any, NamedTuple, Self

from django.db.models import Q, QuerySet

from clients.models import Client
from fittings.history_rows import SOURCES, Row, Source

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
            raise ValueError(f"“{text[:60]}” is no place on a client's line.")
        microseconds, source, pk = map(int, found.groups())
        return cls(_EPOCH + timedelta(microseconds=microseconds), source, pk)


@dataclass(frozen=True)
class History:
    """One page of the line; `older` marks where the next begins, empty on the last."""

    rows: list[Row]
    older: str


def history(
    client: Client, *, may: Callable[[str], bool], imperial: bool = False, before: Mark | None = None
) -> History:
    """The newest rows older than `before` that a reader with these permissions may see; lengths in her units."""
    found: list[Iterator[tuple[Mark, Source, Any]]] = [
        _marked(number, source, _older(number, source, client, before)[: PAGE_LENGTH + 1])
        for number, source in enumerate(SOURCES)
        if may(source.needs)
    ]
    page = list(islice(merge(*found, key=lambda row: row[0].order()), PAGE_LENGTH + 1))
    shown = page[:PAGE_LENGTH]
    return History(
        rows=[source.row(record, imperial) for _, source, record in shown],
        older=str(shown[-1][0]) if len(page) > PAGE_LENGTH else "",
    )


def _older(number: int, source: Source, client: Client, before: Mark | None) -> QuerySet[Any]:
    records = source.records(client).order_by(f"-{source.dated_by}", f"-{source.key}")
    if before is None:
        return records
    earlier = Q(**{f"{source.dated_by}__lt": before.at})
    if number > before.source:
        earlier |= Q(**{source.dated_by: before.at})
    elif number == before.source:
        earlier |= Q(**{source.dated_by: before.at, f"{source.key}__lt": before.pk})
    return records.filter(earlier)


def _marked(number: int, source: Source, records: QuerySet[Any]) -> Iterator[tuple[Mark, Source, Any]]:
    for record in records:
        yield Mark(getattr(record, source.dated_by), number, getattr(record, source.key)), source, record
