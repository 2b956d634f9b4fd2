"""Walks the keys of quick find in the order of their index and stops when the page is full.

Nothing is sorted and nothing counted, so that an answer from a hundred thousand clients takes no longer than one from a
thousand. With several terms the rarest is walked and the others are looked up for those it finds.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from django.db import models
from django.db.models import Q

from clients.models.search import SearchTerm, readings

if TYPE_CHECKING:
    from clients.models.client import SearchKey

FIRST_READ, TIMES = 60, 4  # keys read at first: one page and a few who are found twice; then so many times as many
COUNTED, COMPARED = 250, 4  # how far keys are counted to tell which term is the rarest, and among how many terms
_AFTER_ALL = b"\xff"  # no letter in UTF-8 has this byte

Record = TypeVar("Record", bound=models.Model)


class Matches(Generic[Record]):
    """The records that what was typed may mean, best first; read by cutting a part out of them."""

    def __init__(self, records: models.QuerySet[Record], keys: models.QuerySet[SearchKey], typed: str) -> None:
        self.records, self.keys, self.typed = records, keys, typed

    def __getitem__(self, part: slice) -> list[Record]:
        if not self.typed.strip():
            return list(self.records[part])
        found = list(islice(self._walk(), part.start, part.stop))
        records: dict[Any, Record] = {record.pk: record for record in self.records.filter(pk__in=found)}
        return [records[pk] for pk in found if pk in records]

    def _walk(self) -> Iterator[int]:
        """The key of each record, once."""
        seen: set[int] = set()
        for terms in readings(self.typed):
            rarest, *others = self._rarest_first(terms)
            for beginning in rarest.beginnings:
                for read in self._reads(beginning):
                    fresh = list(dict.fromkeys(pk for pk in read if pk not in seen))
                    met = self._who_meet(others, fresh)
                    seen.update(met)
                    yield from met

    def _rarest_first(self, terms: list[SearchTerm]) -> list[SearchTerm]:
        terms = sorted(dict.fromkeys(terms), key=lambda term: -len(term.beginnings[0]))
        if len(terms) == 1:
            return terms
        rarest = min(terms[:COMPARED], key=lambda term: self.keys.filter(_one_of(term)).order_by()[:COUNTED].count())
        return [rarest, *(term for term in terms if term != rarest)]

    def _reads(self, beginning: bytes) -> Iterator[list[int]]:
        """The clients whose keys begin so, some at a time, in the order of the index; any other would sort them all."""
        keys = self.keys.filter(begins(beginning)).order_by("key", "client").values_list("client", flat=True)
        start, size = 0, FIRST_READ
        while read := list(keys[start : start + size]):
            yield read
            if len(read) < size:
                return
            start, size = start + size, size * TIMES

    def _who_meet(self, terms: list[SearchTerm], found: list[int]) -> list[int]:
        for term in terms:
            if not found:
                break
            keys = self.keys.filter(_one_of(term), client__in=found).order_by()
            met = set(keys.values_list("client", flat=True))
            found = [pk for pk in found if pk in met]
        return found


def begins(beginning: bytes) -> Q:
    """Keys with this beginning; one range of their index."""
    return Q(key__gte=beginning, key__lt=beginning + _AFTER_ALL)


def _one_of(term: SearchTerm) -> Q:
    wanted = Q()
    for beginning in term.beginnings:
        wanted |= begins(beginning)
    return wanted
