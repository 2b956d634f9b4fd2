"""Writes what the catalogue holds as lines that the import reads back as the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final

from django.db.models import QuerySet

from pieces.catalogue.kinds import Column, Kind
from pieces.catalogue.known import named_bases, named_pieces, named_shades, named_units, named_variants
from pieces.catalogue.records import RECORDS

_AT_ONCE: Final = 2_000
_COSTS: Final = ("cost",)
_EVERY: Final[dict[str, Callable[[], QuerySet[Any]]]] = {
    "bases": named_bases,
    "shades": named_shades,
    "pieces": named_pieces,
    "variants": named_variants,
    "units": named_units,
}


def exported_columns(kind: Kind, *, with_costs: bool) -> list[Column]:
    """The columns of the file. One without costs leaves them as they are when it is read back."""
    return [column for column in kind.columns if with_costs or column.name not in _COSTS]


def exported_lines(kind: Kind, columns: list[Column]) -> Iterator[list[str]]:
    """A line for each record, by name; read as they are sent, some thousands at a time."""
    current = RECORDS[kind.name].current
    for record in _EVERY[kind.name]().iterator(chunk_size=_AT_ONCE):
        values = current(record)
        yield [column.write(values[column.name]) for column in columns]
