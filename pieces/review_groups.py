"""By what the review is grouped: which group a variant belongs to, what the group is called, and which rows are in it.

A group's key is short text that stands in addresses. Bands are half-open, from the lower edge to just under the upper.
What has no variant, such as a consult, can only be grouped by stylist.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from django.db.models import Q

from pieces.models import Piece, Variant
from salon.common.lengths import format_length
from salon.common.money import format_minor, minor_decimals
from salon.models import User

LENGTH_BAND_MM: Final = 50
_STEPS: Final = (100, 150, 200, 300, 500, 700)  # of a hundred: edges that read well in every currency
NOBODY: Final = "none"


@dataclass(frozen=True)
class Group:
    key: str
    name: str


ALL: Final = Group("all", "All pieces")


@dataclass(frozen=True)
class Grouping:
    """path: the column of a variant that tells groups apart; empty for the stylist, who stands on the sale."""

    key: str
    label: str
    path: str
    reads: tuple[str, ...]
    group: Callable[..., Group]
    between: Callable[[str], tuple[str, int, int] | None] | None = None
    """For bands: the currency or nothing, and the edges, of a key; None for a key that means nothing."""

    @property
    def by_stylist(self) -> bool:
        return not self.path

    def where(self, key: str, *, variant: str, stylist: str = "") -> Q | None:
        """The rows of one group, by the paths to variant and stylist (empty: there is none); None for no such group."""
        if self.by_stylist:
            if not stylist:
                return None
            if key == NOBODY:
                return Q(**{f"{stylist}__isnull": True})
            return Q(**{stylist: int(key)}) if _is_number(key) else None
        path = f"{variant}__{self.path}" if variant else self.path
        if self.between is None:
            wants_number = self.path.endswith("_id")
            return None if wants_number and not _is_number(key) else Q(**{path: key})
        if (band := self.between(key)) is None:
            return None
        currency, low, high = band
        in_currency = {f"{variant}__currency" if variant else "currency": currency} if currency else {}
        return Q(**{f"{path}__gte": low, f"{path}__lt": high}, **in_currency)


def _is_number(key: str) -> bool:
    return key.isascii() and key.isdecimal() and len(key) <= 18


def _length_group(length_mm: int, unit: str) -> Group:
    low = length_mm // LENGTH_BAND_MM * LENGTH_BAND_MM
    ends = (format_length(float(edge), "in" if unit == "in" else "cm") for edge in (low, low + LENGTH_BAND_MM))
    return Group(str(low), " to ".join(ends))


def _length_band(key: str) -> tuple[str, int, int] | None:
    return ("", int(key), int(key) + LENGTH_BAND_MM) if _is_number(key) else None


def price_edges(price_minor: int, decimals: int) -> tuple[int, int]:
    """The band of a price, in minor units: 1,000 to 1,500, then 1,500 to 2,000, and so on.

    >>> price_edges(124900, 2), price_edges(99999, 2), price_edges(0, 2)
    ((100000, 150000), (70000, 100000), (0, 100))
    """
    least = 10**decimals
    if price_minor < least:
        return 0, least
    scale = 10 ** (len(str(price_minor)) - 1)
    edges = [max(step * scale // 100, least) for step in (*_STEPS, 1000)]
    place = bisect_right(edges, price_minor)
    return edges[place - 1], edges[place]


def _price_group(price_minor: int, currency: str) -> Group:
    low, high = price_edges(price_minor, minor_decimals(currency))
    return Group(f"{currency}-{low}-{high}", f"{format_minor(low, currency)} to {format_minor(high, currency)}")


def _price_band(key: str) -> tuple[str, int, int] | None:
    match key.split("-"):
        case [currency, low, high] if _is_number(low) and _is_number(high):
            return currency, int(low), int(high)
    return None


_FIBRES: Final = dict(Piece.Fibre.choices)

GROUPINGS: Final = {
    grouping.key: grouping
    for grouping in (
        Grouping(
            "piece",
            "Piece",
            "piece_id",
            ("piece_id", "piece__name", "piece__base__maker__name"),
            lambda pk, name, maker: Group(str(pk), f"{name}, {maker}"),
        ),
        Grouping(
            "base",
            "Base",
            "piece__base_id",
            ("piece__base_id", "piece__base__name", "piece__base__maker__name"),
            lambda pk, name, maker: Group(str(pk), f"{maker} {name}"),
        ),
        Grouping("fibre", "Fibre", "piece__fibre", ("piece__fibre",), lambda fibre: Group(fibre, str(_FIBRES[fibre]))),
        Grouping(
            "shade",
            "Shade",
            "shade_id",
            ("shade_id", "shade__code", "shade__name", "shade__maker__name"),
            lambda pk, code, name, maker: Group(str(pk), f"{code} {name}, {maker}"),
        ),
        Grouping("length", "Length", "length_mm", ("length_mm",), _length_group, _length_band),
        Grouping(
            "maker",
            "Maker",
            "piece__base__maker_id",
            ("piece__base__maker_id", "piece__base__maker__name"),
            lambda pk, name: Group(str(pk), name),
        ),
        Grouping("price", "Price band", "price_minor", ("price_minor", "currency"), _price_group, _price_band),
        Grouping("stylist", "Stylist", "", (), lambda pk, name: Group(NOBODY if pk is None else str(pk), name)),
    )
}


def groups_of_variants(grouping: Grouping, *, unit: str = "cm") -> dict[int, Group]:
    """The group of every variant there is, by its key, in one query; by stylist all are one group.

    unit: "in" or "cm", for the names of lengths.
    """
    if grouping.by_stylist:
        return dict.fromkeys(Variant.objects.order_by().values_list("pk", flat=True), ALL)
    more = (unit,) if grouping.key == "length" else ()
    rows = Variant.objects.order_by().values_list("pk", *grouping.reads)
    return {row[0]: grouping.group(*row[1:], *more) for row in rows}


def groups_of_stylists() -> dict[int | None, Group]:
    """Everybody who can stand on a sale, and nobody, in one query."""
    return {None: Group(NOBODY, "No stylist written down")} | {
        user.pk: Group(str(user.pk), str(user)) for user in User.objects.order_by("pk")
    }
