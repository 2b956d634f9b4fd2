"""What did the returned pieces have in common: how many times as often pieces with a trait came back as the others.

Each trait is looked at once, at a threshold set beforehand; the caller counts, for each, how many with it and how many
without it came back or were kept (only pieces handed over long enough ago, and only where it was measured).

The risk ratio's interval is Koopman's score interval, Biometrics 40:513, 1984, which bears small counts, and none.
Whether it is more than chance is Fisher's exact test (SciPy); the p-values are corrected by Holm, Scand. J. Statist.
6:65, 1979, for how many traits were looked at. A trait with fewer than FEWEST_TO_COMPARE pieces on a side, or fewer
than FEWEST_RETURNED returns in all, is "too few to say" and not looked at. What goes together need not be the cause.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, inf, sqrt
from typing import Final, NamedTuple

from pieces.review.rates import CONFIDENCE, Rate, rate_of

FEWEST_TO_COMPARE: Final = 20
"""Pieces with the trait, and without it, at least; common practice."""
FEWEST_RETURNED: Final = 10
"""Returns on both sides together, at least; common practice."""


class Side(StrEnum):
    """Which pieces have the trait."""

    UNDER = "under"
    OVER = "over"
    YES = "yes"


@dataclass(frozen=True)
class Factor:
    """A trait: a measurement under or over a threshold, or a plain yes.

    house_number: the salon's own number for the same measurement, if it has one: a least for UNDER, a most for OVER.
    """

    key: str
    side: Side
    threshold: float | None = None
    house_number: float | None = None


LOOKED_AT: Final = (
    Factor("margin_mm", Side.UNDER, 10),
    Factor("cover", Side.UNDER, 0.9),
    Factor("clips_holding", Side.UNDER, 3),
    Factor("colour_difference", Side.OVER, 4),
    Factor("length_step_mm", Side.OVER, 50),
    Factor("is_first_piece", Side.YES),
)
"""Keys are the columns of a sold line; thresholds are common practice, and set before anything is counted."""


class Split(NamedTuple):
    """How many with the trait and how many without."""

    having: int
    lacking: int


class Says(StrEnum):
    """What the counts say about the trait, and about the house number where there is one."""

    TOO_FEW = "too few to say"
    NOTHING = "no difference that chance would not make"
    MORE = "came back more often"
    LESS = "came back less often"
    FOR = "speaks for the house rule"
    STRICTER = "speaks for a stricter house rule"
    AGAINST = "speaks against the house rule"


@dataclass(frozen=True)
class Effect:
    """ratio: how many times as often (None where unknown; high may be infinite); p: Holm's, for `looked_at` traits."""

    factor: Factor
    having: Rate
    lacking: Rate
    ratio: float | None
    low: float
    high: float
    p: float | None
    looked_at: int
    says: Says

    @property
    def is_found(self) -> bool:
        return self.says not in (Says.TOO_FEW, Says.NOTHING)


def compare(
    factors: Sequence[Factor],
    kept: Mapping[str, Split | tuple[int, int]],
    returned: Mapping[str, Split | tuple[int, int]],
    *,
    confidence: float = CONFIDENCE,
) -> list[Effect]:
    """One Effect for each factor, in the same order; kept and returned are keyed by the factor's key.

    Raises ValueError for a count below zero; a factor that was not counted is "too few to say".
    """
    sides = [_sides(returned.get(factor.key, (0, 0)), kept.get(factor.key, (0, 0)), confidence) for factor in factors]
    tested = [_p_of(*pair) if _are_enough(*pair) else None for pair in sides]
    corrected = holm([p for p in tested if p is not None])
    places = iter(corrected)
    effects = []
    for factor, (having, lacking), p in zip(factors, sides, tested, strict=True):
        low, high = ratio_interval(having, lacking, confidence=confidence)
        ratio = having.share / lacking.share if having.share is not None and lacking.share else None
        holms = None if p is None else next(places)
        says = _says(factor, low, high, holms, 1 - confidence)
        effects.append(Effect(factor, having, lacking, ratio, low, high, holms, len(corrected), says))
    return effects


def ratio_interval(having: Rate, lacking: Rate, *, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Koopman's score interval of the ratio of two rates; 0 and infinity where the counts set no limit.

    The ratios r for which (p₁ − r p₂) lies within z standard errors, those taken at the likeliest p₁ = r p₂.
    """
    from scipy.optimize import brentq
    from scipy.special import ndtri

    if not (having.n and lacking.n) or not (having.x or lacking.x):
        return 0.0, inf
    z = float(ndtri((1 + confidence) / 2))

    def limit(side: float) -> float:
        return exp(brentq(lambda log_ratio: _score(exp(log_ratio), having, lacking) - side, -_FAR, _FAR, xtol=1e-10))

    return (limit(z) if having.x else 0.0), (limit(-z) if lacking.x else inf)


_FAR: Final = 25.0  # e to this is more than any two counts can be apart


def _score(ratio: float, having: Rate, lacking: Rate) -> float:
    x1, n1, x2, n2 = having.x, having.n, lacking.x, lacking.n
    total = n1 + n2
    half = (ratio * (n1 + x2) + x1 + n2) / 2
    root = sqrt(max(half * half - total * ratio * (x1 + x2), 0.0))
    p1 = ratio * (x1 + x2) / (half + root)  # the smaller root, written so that large ratios lose no digits
    p2 = p1 / ratio
    variance = max(p1 * (1 - p1) / n1 + ratio**2 * p2 * (1 - p2) / n2, 1e-300)
    return (x1 / n1 - ratio * x2 / n2) / sqrt(variance)


def holm(p_values: Sequence[float]) -> list[float]:
    """Holm's corrected p-values, in the order given.

    >>> [round(p, 3) for p in holm([0.01, 0.04, 0.03, 0.005])]
    [0.03, 0.06, 0.06, 0.02]
    """
    corrected = [0.0] * len(p_values)
    largest = 0.0
    for rank, place in enumerate(sorted(range(len(p_values)), key=lambda place: p_values[place])):
        largest = max(largest, min(1.0, p_values[place] * (len(p_values) - rank)))
        corrected[place] = largest
    return corrected


def _sides(returned: tuple[int, int], kept: tuple[int, int], confidence: float) -> tuple[Rate, Rate]:
    having, lacking = (rate_of(x, x + left, confidence=confidence) for x, left in zip(returned, kept, strict=True))
    return having, lacking


def _are_enough(having: Rate, lacking: Rate) -> bool:
    return min(having.n, lacking.n) >= FEWEST_TO_COMPARE and having.x + lacking.x >= FEWEST_RETURNED


def _p_of(having: Rate, lacking: Rate) -> float:
    from scipy.stats import fisher_exact

    table = [[having.x, having.n - having.x], [lacking.x, lacking.n - lacking.x]]
    return float(fisher_exact(table).pvalue)


def _says(factor: Factor, low: float, high: float, p: float | None, chance: float) -> Says:
    if p is None:
        return Says.TOO_FEW
    if p >= chance or low <= 1 <= high:
        return Says.NOTHING
    house, threshold = factor.house_number, factor.threshold
    if house is None or threshold is None:
        return Says.MORE if low > 1 else Says.LESS
    if high < 1:
        return Says.AGAINST
    # where every piece with the trait breaks the rule as it stands, the rule would have kept them back
    within = threshold <= house if factor.side is Side.UNDER else threshold >= house
    return Says.FOR if within else Says.STRICTER
