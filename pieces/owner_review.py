"""What was sold, what came back and why: the rows of the review, by span and group, and their sums.

Everything is summed by the database, by variant or by stylist, and folded to the asked grouping here; no question
reads a row a sale. A piece counts as sold on the day it was handed over, and as returned when it was taken back since,
whenever that was. What lies in the drawers is for `stock_review`, what to order for `reorder_review`, rates and
intervals for the pure `pieces.review`; what visits add is for `fittings.review`. Money: minor units, without tax, of
the salon's currency.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any, Final, TypeVar

from django.db.models import BigIntegerField, Count, F, FloatField, Func, IntegerField, Q, Sum, Value
from django.db.models.functions import Cast
from django.utils.timezone import get_current_timezone, make_aware

from pieces.models import Return, SaleLine
from pieces.review_groups import Group, Grouping, groups_of_stylists, groups_of_variants

Sums = TypeVar("Sums")
KEPT_DAYS: Final = (30, 90)


@dataclass(frozen=True)
class Asked:
    """Days are the salon's own, both counted in; the zone of the clock is the one that is in force."""

    first: date
    last: date
    today: date
    grouping: Grouping
    currency: str
    length_unit: str = "cm"

    @property
    def since(self) -> datetime:
        return midnight(self.first)

    @property
    def until(self) -> datetime:
        return midnight(self.last + timedelta(days=1))

    def old_enough(self, days: int) -> Q:
        """Handed over so long ago that it is known whether it was kept for so many days."""
        return Q(handed_over_at__lt=midnight(self.today - timedelta(days=days)))

    @cached_property
    def groups(self) -> Mapping[Any, Group]:
        """The group of each variant or stylist, by key."""
        if self.grouping.by_stylist:
            return groups_of_stylists()
        return self.groups_by_variant

    @cached_property
    def groups_by_variant(self) -> Mapping[Any, Group]:
        return groups_of_variants(self.grouping, unit=self.length_unit)

    def days_between(self, moment: str, day: str) -> DaysBetween:
        ahead = (self.since.utcoffset() or timedelta()) / timedelta(days=1)
        return DaysBetween(F(moment), F(day), Value(ahead, output_field=FloatField()))

    def key(self, *, variant: str = "variant_id", stylist: str = "sale__stylist_id") -> str:
        """The column that sums are grouped by."""
        return stylist if self.grouping.by_stylist else variant


def midnight(day: date) -> datetime:
    return make_aware(datetime.combine(day, datetime.min.time()), get_current_timezone())


class DaysBetween(Func):
    """Whole days from a day (second) to a moment (first); third, how far the salon's clock is ahead of UTC, in days.

    Reckoned by the database itself: Django's own difference calls Python for each row on SQLite, which takes seconds
    over 200,000. Summer time is not looked up a row, so that the hour around midnight may count a day more or less.
    """

    output_field = IntegerField()
    arity = 3

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self._written(compiler, connection, "CAST(julianday({}) - julianday({}) + {} AS INTEGER)")

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self._written(compiler, connection, "FLOOR(EXTRACT(EPOCH FROM ({} - {})) / 86400.0 + {})::integer")

    def _written(self, compiler: Any, connection: Any, template: str) -> tuple[str, list[Any]]:
        parts = [compiler.compile(part) for part in self.get_source_expressions()]
        return template.format(*(sql for sql, _ in parts)), [one for _, params in parts for one in params]


def sold_lines(asked: Asked) -> Any:
    """The pieces handed over in the span, whether or not they came back."""
    return SaleLine.objects.sold().filter(handed_over_at__gte=asked.since, handed_over_at__lt=asked.until)


def returns_of(asked: Asked) -> Any:
    """What came back of the pieces that were sold in the span, whenever it did."""
    return Return.objects.filter(line__in=sold_lines(asked))


@dataclass
class Sold:
    """Sums over pieces sold. old_*: long enough ago to know; back_*: of those, taken back within so many days.

    net, spent: of what was not taken back and whose cost is known; unknown_cost: how many more there are.
    """

    sold: int = 0
    returned: int = 0
    old_30: int = 0
    back_30: int = 0
    old_90: int = 0
    back_90: int = 0
    net_minor: int = 0
    spent_minor: int = 0
    costed: int = 0
    unknown_cost: int = 0
    in_drawer_days: int = 0

    @property
    def kept_30(self) -> int:
        return self.old_30 - self.back_30

    @property
    def kept_90(self) -> int:
        return self.old_90 - self.back_90

    @property
    def margin_minor(self) -> int:
        return self.net_minor - self.spent_minor

    @property
    def mean_days(self) -> float | None:
        return self.in_drawer_days / self.sold if self.sold else None


def sold_by_group(asked: Asked) -> dict[Group, Sold]:
    """What was sold in the span and what became of it, by group, in two queries."""
    key = asked.key()
    old_30, old_90 = (asked.old_enough(days) for days in KEPT_DAYS)
    in_currency = Q(sale__currency=asked.currency, is_live=True)
    costed = in_currency & Q(cost_minor__isnull=False)
    rows = (
        sold_lines(asked)
        .order_by()
        .values(key)
        .annotate(
            sold=Count("pk"),
            returned=Count("pk", filter=Q(is_live=False)),
            old_30=Count("pk", filter=old_30),
            old_90=Count("pk", filter=old_90),
            net_minor=_sum(F("total_minor") - F("tax_minor"), costed),
            spent_minor=_sum(F("cost_minor"), costed),
            costed=Count("pk", filter=costed),
            unknown_cost=Count("pk", filter=Q(is_live=True) & ~costed),
            in_drawer_days=Sum(asked.days_between("handed_over_at", "unit__received_on")),
        )
    )
    backs = (
        returns_of(asked)
        .order_by()
        .values(f"line__{key}")
        .annotate(
            back_30=Count("pk", filter=_within(30, asked)),
            back_90=Count("pk", filter=_within(90, asked)),
        )
    )
    found: dict[Group, Sold] = defaultdict(Sold)
    fold(found, asked, rows, key)
    fold(found, asked, backs, f"line__{key}")
    return dict(found)


def _sum(what: Any, where: Q) -> Sum:
    return Sum(Cast(what, BigIntegerField()), filter=where, default=0)


def _within(days: int, asked: Asked) -> Q:
    """Returns within so many days of sales that are old enough to know."""
    old_enough = Q(line__handed_over_at__lt=midnight(asked.today - timedelta(days=days)))
    return old_enough & Q(days_since__lte=days)


def fold(found: dict[Group, Sums], asked: Asked, rows: Iterable[Mapping[str, Any]], key: str) -> None:
    """Add the sums of variants or stylists (`key` names the column) to those of their groups."""
    for row in rows:
        sums = found[asked.groups[row[key]]]
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
