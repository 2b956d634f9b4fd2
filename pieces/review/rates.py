"""How often, and how sure is that: a share with its Wilson 95 % interval and the count beside it.

Source: Wilson 1927 by way of Newcombe, Stat. Med. 17:857, 1998, method 3 (intervals MEMORY, recomputed); computed by
SciPy. With nothing counted the share is unknown and the interval is all there is between none and all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

CONFIDENCE: Final = 0.95
FEWEST_TO_RANK: Final = 10
"""No group with fewer counted stands in a ranking; common practice, and said on the page."""


@dataclass(frozen=True)
class Rate:
    """x of n; shares from 0 to 1. `share` is None where nothing was counted."""

    x: int
    n: int
    share: float | None
    low: float
    high: float

    @property
    def may_be_ranked(self) -> bool:
        return self.n >= FEWEST_TO_RANK


@lru_cache(maxsize=4096)  # a page asks for the same small counts again and again
def rate_of(x: int, n: int, *, confidence: float = CONFIDENCE) -> Rate:
    """The rate of x among n; raises ValueError unless 0 ≤ x ≤ n.

    >>> rate = rate_of(13, 16)
    >>> round(rate.low, 4), round(rate.high, 4)
    (0.5699, 0.9341)
    """
    if not 0 <= x <= n:
        raise ValueError(f"{x} of {n} is no rate: count what happened among all that could.")
    if n == 0:
        return Rate(0, 0, None, 0.0, 1.0)
    from scipy.stats import binomtest

    share = x / n
    # the interval is that of any test; this one spares SciPy the search for its p-value, which takes most of the time
    interval = binomtest(x, n, p=share).proportion_ci(confidence, method="wilson")
    low, high = max(0.0, float(interval.low)), min(1.0, float(interval.high))  # rounding leaves −1e-17 for none of n
    return Rate(x, n, share, min(low, share), max(high, share))
