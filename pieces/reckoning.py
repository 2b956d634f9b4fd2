"""What does a line come to: price, discount and tax, in whole minor units of one currency.

Tax is reckoned a line at a time and rounded half up, once; totals are sums of lines, so that a receipt adds up to the
penny. Rates are basis points (2,000 are 20 %). Which rate applies is for the owner. Pure: no Django, no records.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

WHOLE: Final = 10_000  # basis points


@dataclass(frozen=True)
class Reckoned:
    """net + tax = total, in minor units; the discount is off the price as it stands on the list."""

    net_minor: int
    tax_minor: int
    total_minor: int


def reckon(
    *, price_minor: int, count: int = 1, discount_minor: int = 0, basis_points: int = 0, prices_include_tax: bool
) -> Reckoned:
    """One line; raises ValueError with a sentence for what no line can be.

    >>> reckon(price_minor=12000, basis_points=2000, prices_include_tax=True)
    Reckoned(net_minor=10000, tax_minor=2000, total_minor=12000)
    >>> reckon(price_minor=10000, basis_points=825, prices_include_tax=False)
    Reckoned(net_minor=10000, tax_minor=825, total_minor=10825)
    """
    if price_minor < 0 or count < 1 or not 0 <= basis_points <= WHOLE:
        raise ValueError("A line has a price of zero or more, at least one of the thing, and a rate from 0 to 100 %.")
    listed = price_minor * count
    if not 0 <= discount_minor <= listed:
        raise ValueError("A discount is no larger than the price.")
    left = listed - discount_minor
    if prices_include_tax:
        tax = half_up(left * basis_points, WHOLE + basis_points)
        return Reckoned(left - tax, tax, left)
    tax = half_up(left * basis_points, WHOLE)
    return Reckoned(left, tax, left + tax)


def half_up(amount: int, divisor: int) -> int:
    """amount / divisor to the nearest whole number, halves upwards; both not negative."""
    return (2 * amount + divisor) // (2 * divisor)


@dataclass(frozen=True)
class TaxOfRate:
    """What stands at the foot of a receipt: all lines of one rate together."""

    name: str
    basis_points: int
    net_minor: int
    tax_minor: int


def by_rate(lines: Iterable[tuple[str, int, int, int]]) -> list[TaxOfRate]:
    """Lines as (name of the rate, basis points, tax, total), summed by rate, the highest rate first."""
    sums: dict[tuple[str, int], tuple[int, int]] = {}
    for name, basis_points, tax, total in lines:
        net_before, tax_before = sums.get((name, basis_points), (0, 0))
        sums[name, basis_points] = net_before + total - tax, tax_before + tax
    ordered = sorted(sums.items(), key=lambda item: (-item[0][1], item[0][0]))
    return [TaxOfRate(name, basis_points, net, tax) for (name, basis_points), (net, tax) in ordered]


def percent(basis_points: int) -> str:
    """The rate as it is written: 20 %, 8.25 %."""
    whole, fine = divmod(basis_points, 100)
    return f"{whole}.{fine:02d}".rstrip("0").rstrip(".") + " %"
