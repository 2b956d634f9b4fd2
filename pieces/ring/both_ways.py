"""What the shades that were read in two ways tell: how far the ways lie apart, and how one leads to the other.

A way of reading is a scale: the instrument, or a routine that reads photos. Fitting is `salon.colour.cross_reading`'s;
this gathers the salon's own shades for it. ΔE00 is the mean of root, mid-length and ends.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from pieces.models import Shade
from pieces.models.shade import INSTRUMENT
from salon.colour.cross_reading import LEAST_SHADES, CrossReading, cross_reading, scale_in_words
from salon.colour.difference import ciede2000

Array = NDArray[np.float64]
ZONES = ("root", "mid", "ends")
MID = 1


@dataclass(frozen=True, slots=True)
class Both:
    """One shade read in two ways: L*a*b* at mid-length, ΔE00 as read, and after carrying over (None without a way)."""

    shade: Shade
    first: tuple[float, float, float]
    second: tuple[float, float, float]
    apart: float
    left: float | None


@dataclass(frozen=True, slots=True)
class BothWays:
    """Two ways of reading and the shades read in both.

    shift: how far the second lies from the first on average in L*, a* and b*, None without a shade. there, back: the
    ways between them, None while there are too few shades.
    """

    first_scale: str
    second_scale: str
    shades: tuple[Both, ...]
    shift: tuple[float, float, float] | None
    there: CrossReading | None
    back: CrossReading | None

    @property
    def first_words(self) -> str:
        return scale_in_words(self.first_scale)

    @property
    def second_words(self) -> str:
        return scale_in_words(self.second_scale)

    @property
    def are_versions(self) -> bool:
        """Two versions of one routine."""
        return self.first_words == self.second_words

    @property
    def shift_words(self) -> str:
        """“14.2 lighter (L*), 1.3 redder (a*) and 3.1 yellower (b*)”; empty without a shade."""
        if self.shift is None:
            return ""
        axes = (("L*", "lighter", "darker"), ("a*", "redder", "greener"), ("b*", "yellower", "bluer"))
        lightness, a, b = (
            f"{abs(by):.1f} {more if by >= 0 else less} ({axis})"
            for by, (axis, more, less) in zip(self.shift, axes, strict=True)
        )
        return f"{lightness}, {a} and {b}"

    @property
    def correction_words(self) -> str:
        """“L* × 0.97 + 14.2, a* + 0.4, b* − 1.0”: how the first becomes the second; empty without a way."""
        if self.there is None:
            return ""
        return ", ".join(
            f"{axis}{'' if gain == 1.0 else f' × {gain:.2f}'} {'+' if offset >= 0.0 else '−'} {abs(offset):.1f}"
            for axis, gain, offset in zip(("L*", "a*", "b*"), self.there.gain, self.there.offset, strict=True)
        )

    @property
    def missing(self) -> int:
        """How many more shades are needed."""
        return max(0, LEAST_SHADES - len(self.shades))

    @property
    def apart(self) -> float:
        """ΔE00 of the middle shade."""
        return float(np.median([both.apart for both in self.shades]))


def both_ways(shades: Iterable[Shade]) -> list[BothWays]:
    """Every two ways in which the salon reads, the instrument first; also those that no shade joins yet.

    Prefetch `readings`.
    """
    ring = list(shades)
    scales = sorted(
        {scale for shade in ring for scale in shade.colours()}, key=lambda scale: (scale != INSTRUMENT, scale)
    )
    return [_both_ways(ring, first, second) for first, second in combinations(scales, 2)]


def _both_ways(ring: list[Shade], first_scale: str, second_scale: str) -> BothWays:
    joined = [(shade, colours) for shade in ring if {first_scale, second_scale} <= (colours := shade.colours()).keys()]
    first, second = (
        np.array([[colours[scale][zone] for zone in ZONES] for _, colours in joined]).reshape(-1, len(ZONES), 3)
        for scale in (first_scale, second_scale)
    )
    there = back = None
    if len(joined) >= LEAST_SHADES:
        there, back = cross_reading(first, second), cross_reading(second, first)
    apart = ciede2000(first, second).mean(axis=1)
    left = ciede2000(there.apply(first), second).mean(axis=1) if there else None
    return BothWays(
        first_scale,
        second_scale,
        shades=tuple(
            Both(
                shade=shade,
                first=_three(first[i, MID]),
                second=_three(second[i, MID]),
                apart=float(apart[i]),
                left=None if left is None else float(left[i]),
            )
            for i, (shade, _) in enumerate(joined)
        ),
        shift=_three((second - first).reshape(-1, 3).mean(axis=0)) if joined else None,
        there=there,
        back=back,
    )


def _three(values: Array) -> tuple[float, float, float]:
    lightness, a, b = values.tolist()
    return lightness, a, b
