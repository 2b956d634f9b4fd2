"""What somebody asks of the review: which days, grouped by what; and how sums become those of groups.

Days are the salon's own, by the clock that is in force. Sums are the database's, a row a variant or a stylist; they are
added up to groups here, so that no question is asked once a group and none reads a row a sale.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from typing import Any, TypeVar

from django.db.models import BigIntegerField, DateTimeField, F, FloatField, Func, IntegerField, Q, Sum, Value
from django.db.models.functions import Cast
from django.utils.timezone import get_current_timezone, make_aware

from pieces.review.spans import Span
from pieces.review_groups import Group, Grouping, groups_of_stylists, groups_of_variants

Sums = TypeVar("Sums")


@dataclass(frozen=True)
class Asked:
    """currency: that of the salon; money in another is not added up. length_unit: how groups of lengths are named.
    dead_after_days: a unit that lay so long, with none of its kind sold meanwhile, is dead stock.
    """

    span: Span
    today: date
    grouping: Grouping
    currency: str
    length_unit: str = "cm"
    dead_after_days: int = 180  # common practice

    @property
    def since(self) -> datetime:
        return midnight(self.span.since)

    @property
    def until(self) -> datetime:
        """The first moment after the span."""
        return midnight(self.span.until + timedelta(days=1))

    def old_enough(self, days: int, *, line: str = "") -> Q:
        """Handed over so long ago that it is known whether it was kept for so many days. line: the path to it."""
        return Q(**{f"{line}handed_over_at__lt": self.known_before(days)})

    def known_before(self, days: int) -> datetime:
        """What was handed over before this moment was kept for so many days, or was not."""
        return midnight(self.today - timedelta(days=days))

    @cached_property
    def groups(self) -> Mapping[Any, Group]:
        """The group of each variant or stylist, by key."""
        return groups_of_stylists() if self.grouping.by_stylist else self.groups_by_variant

    @cached_property
    def groups_by_variant(self) -> Mapping[Any, Group]:
        """The same for what no stylist has to do with: by stylist, all of it is one group."""
        return groups_of_variants(self.grouping, unit=self.length_unit)

    def key(self, *, variant: str = "variant_id", stylist: str = "sale__stylist_id") -> str:
        """The column that sums are grouped by."""
        return stylist if self.grouping.by_stylist else variant

    def days_between(self, moment: str, day: str) -> DaysBetween:
        """Whole days from a column's day to a column's moment."""
        return DaysBetween(F(moment), F(day), Value(self._ahead, output_field=FloatField()))

    def days_to_today(self, day: str) -> DaysBetween:
        """Whole days from a column's day to today."""
        noon = Value(datetime.combine(self.today, time(12), UTC), output_field=DateTimeField())
        return DaysBetween(noon, F(day), Value(0.0, output_field=FloatField()))

    @property
    def _ahead(self) -> float:
        return (self.since.utcoffset() or timedelta()) / timedelta(days=1)


def midnight(day: date) -> datetime:
    return make_aware(datetime.combine(day, time()), get_current_timezone())


class Unindexed(Func):
    """A column that SQLite shall not look up: reading every row once is faster than an index where most are wanted.

    The plus sign is SQLite's own way to say so ("The SQLite Query Optimizer Overview", MEMORY); PostgreSQL decides.
    """

    arity = 1
    template = "%(expressions)s"

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self.as_sql(compiler, connection, template="+%(expressions)s", **more)


class DaysBetween(Func):
    """Whole days from a day (second) to a moment (first); third, how far the salon's clock is ahead of UTC, in days.

    Reckoned by the database itself: Django's own difference calls Python for each row on SQLite, which takes seconds
    over 200,000. Summer time is not looked up a row, so that the hour around midnight may count a day more or less.
    """

    output_field = IntegerField()
    arity = 3

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self._written(compiler, "CAST(julianday({}) - julianday({}) + {} AS INTEGER)")

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self._written(compiler, "FLOOR(EXTRACT(EPOCH FROM ({} - {})) / 86400.0 + {})::integer")

    def _written(self, compiler: Any, template: str) -> tuple[str, list[Any]]:
        parts = [compiler.compile(part) for part in self.get_source_expressions()]
        return template.format(*(sql for sql, _ in parts)), [one for _, params in parts for one in params]


def summed(what: Any, where: Q) -> Sum:
    """The sum over those rows, in a type that years of money fit into; nothing to add is 0."""
    return Sum(Cast(what, BigIntegerField()), filter=where, default=0)


def fold(found: dict[Group, Sums], groups: Mapping[Any, Group], rows: Iterable[Mapping[str, Any]], key: str) -> None:
    """Add the sums of variants or stylists (`key` names the column) to those of their groups."""
    for row in rows:
        sums = found[groups[row[key]]]
        for name, value in row.items():
            if name != key:
                setattr(sums, name, getattr(sums, name) + value)


def total(of: Callable[[], Sums], sums: Iterable[Sums]) -> Sums:
    """All groups in one."""
    everything = of()
    for one in sums:
        for name in vars(one):
            setattr(everything, name, getattr(everything, name) + getattr(one, name))
    return everything
