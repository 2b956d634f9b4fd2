"""What a colour read on one scale would read on another, learnt from the salon's own shades read on both.

A scale is what makes two colours comparable: "instrument", or the version of the routine that read both from photos.
Photos run tens of L* too light against an instrument, mostly by shine (Vaughn et al., Forensic Sci Int 183:97-101,
2009, abstract read), and no published figure holds for another camera, lamp or routine. So nothing is carried from one
scale to another but by shades that the salon has read both ways, and how far that is out is told with it.

Two ways to carry a colour over are tried, a shift of L*, a* and b* and a line for each; the one that foretells a shade
left out more closely is kept. CIELAB, D65, 2° observer; differences in ΔE00.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.difference import ciede2000

Array = NDArray[np.float64]

INSTRUMENT = "instrument"
LEAST_SHADES = 4  # with three, a line is left with two shades to foretell the third from
BEYOND_L = 5.0  # so many L* darker or lighter than any shade read both ways nothing is known: a house rule
NINE_IN_TEN = 0.9


@dataclass(frozen=True, slots=True)
class CrossReading:
    """The way from one scale to another: gain × value + offset for each of L*, a* and b*.

    residual: the ΔE00 within which nine in ten shades were foretold by the others. pairs: how many shades were read
    both ways. from_l: the darkest and the lightest L* among them, on the scale it leads from.
    """

    gain: tuple[float, float, float]
    offset: tuple[float, float, float]
    residual: float
    pairs: int
    from_l: tuple[float, float]

    def apply(self, lab: ArrayLike) -> Array:
        """What colours of the first scale would read on the second; shape (..., 3) to (..., 3)."""
        colours = np.asarray(lab, dtype=np.float64)
        if colours.ndim == 0 or colours.shape[-1] != 3:
            raise ValueError(f"a colour is L*, a*, b* along the last axis, got an array of shape {colours.shape}")
        crossed: Array = colours * self.gain + self.offset
        crossed[..., 0] = np.clip(crossed[..., 0], 0.0, 100.0)
        return crossed

    def reaches(self, lab: ArrayLike) -> NDArray[np.bool_]:
        """Which colours are about as dark or light as a shade that was read both ways; shape (..., 3) to (...)."""
        lightness = np.asarray(lab, dtype=np.float64)[..., 0]
        darkest, lightest = self.from_l
        within: NDArray[np.bool_] = (lightness >= darkest - BEYOND_L) & (lightness <= lightest + BEYOND_L)
        return within

    @property
    def words(self) -> str:
        return f"by {self.pairs} shades read both ways, give or take {self.residual:.1f}"


def cross_reading(from_lab: ArrayLike, to_lab: ArrayLike) -> CrossReading:
    """Learn the way from one scale to another; the same shades in the same order on both.

    from_lab, to_lab: shape (n, 3), or (n, zones, 3) for shades read in several zones; a shade is left out whole when
    the others are asked to foretell it. Raises ValueError with a sentence for under four shades, shapes that differ
    and colours that are not finite.
    """
    first, second = (np.asarray(lab, dtype=np.float64) for lab in (from_lab, to_lab))
    if first.shape != second.shape or first.ndim not in (2, 3) or first.shape[-1] != 3:
        raise ValueError(
            "colours read on two scales have one shape, (shades, 3) or (shades, zones, 3), "
            f"got {first.shape} and {second.shape}"
        )
    if len(first) < LEAST_SHADES:
        were = {0: "none was", 1: "one was"}.get(len(first), f"{len(first)} were")
        raise ValueError(
            f"It takes {LEAST_SHADES} shades or more, read both ways, to lead from one way to another; {were}."
        )
    if not (np.isfinite(first).all() and np.isfinite(second).all()):
        raise ValueError("a shade read both ways has finite L*, a*, b* on both scales")
    first, second = (lab.reshape(len(lab), -1, 3) for lab in (first, second))
    ways = [_foretold(first, second, is_line=is_line) for is_line in (False, True)]
    is_line = bool(ways[1].mean() < ways[0].mean())
    gain, offset = _fitted(first, second, is_line=is_line)
    lightness = first[..., 0]
    return CrossReading(
        gain=_three(gain),
        offset=_three(offset),
        residual=nine_in_ten(ways[is_line]),
        pairs=len(first),
        from_l=(float(lightness.min()), float(lightness.max())),
    )


def nine_in_ten(errors: ArrayLike) -> float:
    """The error that nine in ten of the next ones stay within, as far as these few can tell.

    It is the ⌈0.9 (n + 1)⌉-th smallest of n, and the largest while n is under nine: the rank that makes the share right
    on average when the next error comes from where these came from (Vovk, Gammerman, Shafer, Algorithmic Learning in a
    Random World, 2005, chapter 2; from memory).
    """
    in_order = np.sort(np.asarray(errors, dtype=np.float64), axis=None)
    rank = math.ceil(NINE_IN_TEN * (in_order.size + 1))
    return float(in_order[min(rank, in_order.size) - 1])


def scale_in_words(scale: str) -> str:
    """“photos with the grey card”: the way of reading a scale stands for, without its version."""
    kind = scale.partition("-")[0]
    return {"card": "photos with the grey card", "chart": "photos with the chart"}.get(kind, "an instrument")


def _fitted(first: Array, second: Array, *, is_line: bool) -> tuple[Array, Array]:
    """Gain and offset of each axis, shapes (3,), by least squares over all shades."""
    middle_1, middle_2 = first.mean(axis=(0, 1)), second.mean(axis=(0, 1))
    if not is_line:
        return np.ones(3), middle_2 - middle_1
    gain = _slope(((first - middle_1) ** 2).sum((0, 1)), ((first - middle_1) * (second - middle_2)).sum((0, 1)))
    return gain, middle_2 - gain * middle_1


def _foretold(first: Array, second: Array, *, is_line: bool) -> Array:
    """ΔE00 of each colour, shape (n, zones), foretold by `_fitted` of the other shades alone.

    Leaving one shade out is taking its sums away, so that hundreds of shades need no loop.
    """
    around = first.mean(axis=(0, 1)), second.mean(axis=(0, 1))
    x, y = first - around[0], second - around[1]  # about the middle, or the differences below would lose digits

    def of_others(values: Array) -> Array:
        others: Array = (values.sum(axis=(0, 1)) - values.sum(axis=1)) / ((len(values) - 1) * values.shape[1])
        return others

    middle_x, middle_y = of_others(x), of_others(y)
    gain = np.ones_like(middle_x)
    if is_line:
        gain = _slope(of_others(x * x) - middle_x**2, of_others(x * y) - middle_x * middle_y)
    offset = middle_y - gain * middle_x
    return ciede2000(x * gain[:, None] + offset[:, None] + around[1], second)


def _slope(spread: Array, together: Array) -> Array:
    """1 where the shades are all alike on an axis, for then no line can be told from a shift."""
    alike = spread < 1e-9
    return np.where(alike, 1.0, together / np.where(alike, 1.0, spread))


def _three(values: Array) -> tuple[float, float, float]:
    lightness, a, b = (float(value) for value in values)
    return lightness, a, b
