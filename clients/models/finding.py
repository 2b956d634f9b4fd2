"""Walks the keys of quick find in the order of their index and stops when the page is full.

Nothing is sorted and nothing counted, so that an answer from a hundred thousand clients takes no longer than one from a
thousand. With several terms the rarest is walked and the others are looked up for those it finds.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from itertools import islice
from operator import or_
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from django.db import models
from django.db.models import Exists, OuterRef, Q

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
                for read in self._reads(beginning, others):
                    fresh = list(dict.fromkeys(pk for pk in read if pk not in seen))
                    seen.update(fresh)
                    yield from fresh

    def _rarest_first(self, terms: list[SearchTerm]) -> list[SearchTerm]:
        terms = sorted(dict.fromkeys(terms), key=lambda term: -len(term.beginnings[0]))
        if len(terms) == 1:
            return terms
        rarest = min(terms[:COMPARED], key=self._at_least)
        return [rarest, *(term for term in terms if term != rarest)]

    def _at_least(self, term: SearchTerm) -> int:
        """How many keys a term has, counted so far and no further."""
        wanted = reduce(or_, (begins(beginning) for beginning in term.beginnings))
        return self.keys.filter(wanted).order_by()[:COUNTED].count()

    def _reads(self, beginning: bytes, others: list[SearchTerm]) -> Iterator[list[int]]:
        """The clients whose keys begin so and who meet the others, some at a time, in the order of the index; any other
        order would sort them all."""
        keys = self.keys.filter(begins(beginning)).order_by("key", "client")
        for term in others:
            hers = [self.keys.filter(begins(other), client=OuterRef("client")) for other in term.beginnings]
            keys = keys.filter(reduce(or_, (Q(Exists(one)) for one in hers)))
        start, size = 0, FIRST_READ
        while read := list(keys.values_list("client", flat=True)[start : start + size]):
            yield read
            if len(read) < size:
                return
            start, size = start + size, size * TIMES


def begins(beginning: bytes) -> Q:
    """Keys with this beginning; one range of their index."""
    return Q(key__gte=beginning, key__lt=beginning + _AFTER_ALL)
