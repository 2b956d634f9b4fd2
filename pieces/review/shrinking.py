"""What is each group's true rate likely to be, once the other groups are heard: a share and an interval per group.

One returned of one sold says little; what pieces of the kind do in general says more. Each group's rate is taken as
drawn from one beta distribution, of mean m and weight k = a + b, and its share is (x + a) / (n + a + b): few counted,
and it leans on the others; many, and it is its own.

The beta distribution is not known either. A single best one (maximum likelihood) gives intervals that are too narrow,
so every plausible one is heard with its weight: likelihood × (a + b)^(−5/2), Gelman et al., Bayesian Data Analysis,
section 5.3 (checked on their example in tests/published). The interval is read off that mixture. Shares from 0 to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from pieces.review.rates import CONFIDENCE

_LIGHTEST: Final = 1.0  # a beta distribution of less weight says that nearly all come back or none, which no salon sees
_HEAVIEST: Final = 1e3  # at least so far, and further for large counts: there groups no longer differ
_BEYOND_COUNTS: Final = 30.0
_WEIGHTS: Final = 17  # looked at in one pass
_ENOUGH_WEIGHTS: Final = 8  # that matter: then no finer pass is needed
_PASSES: Final = 6
_MEANS: Final = 13  # looked at for each weight
_MEANS_REACH: Final = 4.0  # standard deviations to each side
_IGNORED: Final = 1e-4  # of the likeliest: what is less likely changes no figure that is shown
_POINTS: Final = 161  # of a group's distribution, on the log odds scale
_REACH: Final = 6.0  # standard deviations to each side
_EDGE: Final = 12.0  # log odds; a share below 6 in a million is none

Array = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True)
class Shrunk:
    """A group's likely share with its interval; `share` is None where nothing was counted in any group."""

    share: float | None
    low: float
    high: float


def shrunk(counts: Sequence[tuple[int, int]], *, confidence: float = CONFIDENCE) -> list[Shrunk]:
    """One Shrunk for each (x, n), in the same order; raises ValueError unless 0 ≤ x ≤ n for each.

    >>> [round(group.share, 2) for group in shrunk([(1, 1), (3, 40), (5, 60), (8, 50), (2, 30)])]
    [0.22, 0.1, 0.1, 0.14, 0.1]
    """
    for x, n in counts:
        if not 0 <= x <= n:
            raise ValueError(f"{x} of {n} is no rate: count what happened among all that could.")
    if not any(n for _, n in counts):
        return [Shrunk(None, 0.0, 1.0) for _ in counts]
    pairs, which, times = np.unique(np.asarray(counts, dtype=float), axis=0, return_inverse=True, return_counts=True)
    x, n = pairs.T
    a, b, weight = likely_distributions(x, n, times.astype(float))
    shares, low, high = _mixed(x[:, None] + a, (n - x)[:, None] + b, weight, confidence)
    found = [Shrunk(*map(float, row)) for row in zip(shares, low, high, strict=True)]
    return [found[place] for place in which.ravel()]


def likely_distributions(x: Array, n: Array, times: Array) -> tuple[Array, Array, Array]:
    """The beta distributions (a, b) that may stand behind all groups, each with its weight; weights sum to one."""
    low, high = np.log(_LIGHTEST), np.log(max(_HEAVIEST, _BEYOND_COUNTS * float(n.max())))
    for _ in range(_PASSES):  # narrows down to the weights k that matter
        log_k = np.linspace(low, high, _WEIGHTS)
        mode, spread, height = _means_given(np.exp(log_k), x, n, times)
        likely = np.flatnonzero(height + np.log(spread) > (height + np.log(spread)).max() + np.log(_IGNORED))
        if likely.size >= _ENOUGH_WEIGHTS:
            break
        low, high = log_k[max(likely[0] - 1, 0)], log_k[min(likely[-1] + 1, _WEIGHTS - 1)]
    steps = np.linspace(-_MEANS_REACH, _MEANS_REACH, _MEANS)
    k = np.repeat(np.exp(log_k[likely]), _MEANS)
    log_odds = (mode[likely, None] + spread[likely, None] * steps).ravel()
    log_weight = _log_density(log_odds, k, x, n, times) + np.repeat(np.log(spread[likely]), _MEANS)
    kept = log_weight > log_weight.max() + np.log(_IGNORED)
    weight = np.exp(log_weight[kept] - log_weight.max())
    m, k = _share(log_odds[kept]), k[kept]
    return m * k, (1 - m) * k, weight / weight.sum()


def _means_given(k: Array, x: Array, n: Array, times: Array) -> tuple[Array, Array, Array]:
    """For each weight k the likeliest log odds of the mean, its standard deviation, and the log density there."""
    from scipy.special import digamma, polygamma

    pooled = (float(times @ x) + 0.5) / (float(times @ n) + 1)
    log_odds = np.full_like(k, np.log(pooled / (1 - pooled)))
    curve = np.ones_like(k)
    for _ in range(30):  # Newton's steps, none longer than one
        m = _share(log_odds)
        a, b, change = m * k, (1 - m) * k, m * (1 - m)
        by_a = times @ (digamma(x[:, None] + a) - digamma(a))
        by_b = times @ (digamma((n - x)[:, None] + b) - digamma(b))
        by_aa = times @ (polygamma(1, x[:, None] + a) - polygamma(1, a))
        by_bb = times @ (polygamma(1, (n - x)[:, None] + b) - polygamma(1, b))
        slope = k * change * (by_a - by_b) + 1 - 2 * m
        curve = -((k * change) ** 2 * (by_aa + by_bb) + k * change * (1 - 2 * m) * (by_a - by_b) - 2 * change)
        curve = np.maximum(curve, 1e-3)
        step = np.clip(slope / curve, -1, 1)
        log_odds = np.clip(log_odds + step, -30, 30)
        if float(np.abs(step * np.sqrt(curve)).max()) < 1e-3:
            break
    return log_odds, 1 / np.sqrt(curve), _log_density(log_odds, k, x, n, times)


def _log_density(log_odds: Array, k: Array, x: Array, n: Array, times: Array) -> Array:
    """Log of likelihood × (a + b)^(−5/2), as a density over the log odds of the mean and the log of k."""
    from scipy.special import betaln

    m = _share(log_odds)
    a, b = m * k, (1 - m) * k
    likelihood: Array = times @ (betaln(x[:, None] + a, (n - x)[:, None] + b) - betaln(a, b))
    return likelihood + np.log(m * (1 - m)) - np.log(k) / 2  # da db = k² m(1 − m) d(log odds) d(log k)


def _mixed(a: Array, b: Array, weight: Array, confidence: float) -> tuple[Array, Array, Array]:
    """Mean and interval of each row's mixture of Beta(a, b); rows are groups, columns the distributions mixed."""
    from scipy.special import betainc, betaln, digamma, polygamma

    centre = digamma(a) - digamma(b)
    middle = centre @ weight
    spread = np.sqrt((polygamma(1, a) + polygamma(1, b) + centre**2) @ weight - middle**2)
    first, last = (np.clip(middle + side * spread, -_EDGE, _EDGE) for side in (-_REACH, _REACH))
    log_odds = np.linspace(first, last, _POINTS, axis=1)
    log_rest = np.logaddexp(0, log_odds)
    density = np.zeros_like(log_odds)
    below = np.zeros(len(a))
    scale = betaln(a, b)
    for column, heard in enumerate(weight):
        a_, b_ = a[:, column, None], b[:, column, None]
        density += heard * np.exp(a_ * log_odds - (a_ + b_) * log_rest - scale[:, column, None])
        below += heard * betainc(a[:, column], b[:, column], _share(first))
    step = (last - first)[:, None] / (_POINTS - 1)
    reached = below[:, None] + np.cumsum((density[:, 1:] + density[:, :-1]) / 2 * step, axis=1)
    reached = np.column_stack([below, reached])
    shares = (a / (a + b)) @ weight
    low, high = (
        np.array([np.interp(side, *row) for row in zip(reached, log_odds, strict=True)])
        for side in ((1 - confidence) / 2, (1 + confidence) / 2)
    )
    low = np.where(low <= -_EDGE, 0.0, _share(low))
    high = np.where(high >= _EDGE, 1.0, _share(high))
    return shares, np.minimum(low, shares), np.maximum(high, shares)


def _share(log_odds: Array) -> Array:
    from scipy.special import expit

    share: Array = expit(log_odds)
    return share
