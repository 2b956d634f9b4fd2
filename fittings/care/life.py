"""How long do the salon's own pieces of a fibre last: the Kaplan–Meier median and its 95 % interval.

A piece that is still worn, or ended for another reason than wear, is censored: it lasted at least so long. The curve is
SciPy's (`scipy.stats.ecdf` with `CensoredData`, imported here because it takes a second); the interval of the median is
where the curve's own confidence band, on the log-log scale, crosses one half: Brookmeyer and Crowley, Biometrics 38:29,
1982 (MEMORY). Days; pure: no Django, no records.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final
from warnings import catch_warnings, simplefilter

import numpy as np

_HALF: Final = 0.5
_CONFIDENCE: Final = 0.95
_CLOSE: Final = 1e-12  # a rounding error of a product of fractions


@dataclass(frozen=True)
class Lasted:
    """So many pieces lasted `days`: to their end, or (`worn_out` False) for as long as anybody saw."""

    days: int
    worn_out: bool
    pieces: int


@dataclass(frozen=True)
class Life:
    """median_days: by then half have worn out; None while fewer have. low, high: its interval, None where open."""

    pieces: int
    worn_out: int
    median_days: int | None
    low_days: int | None
    high_days: int | None


def life_of(lasted: Iterable[Lasted]) -> Life:
    """The life of pieces of which it is known how long each lasted; raises ValueError for a negative time or count."""
    rows = list(lasted)
    if any(row.days < 0 or row.pieces < 0 for row in rows):
        raise ValueError("A piece lasts no less than 0 days, and a count is not negative.")
    pieces = sum(row.pieces for row in rows)
    worn_out = sum(row.pieces for row in rows if row.worn_out)
    if not worn_out:
        return Life(pieces, 0, None, None, None)
    curve = survival(rows)
    with catch_warnings():  # the band is undefined where all are left or none, and says so; there the answer is None
        simplefilter("ignore", RuntimeWarning)
        band = curve.confidence_interval(confidence_level=_CONFIDENCE, method="log-log")
    times = curve.quantiles
    return Life(
        pieces,
        worn_out,
        _half_gone(times, curve.probabilities),
        _half_gone(times, band.low.probabilities),
        _half_gone(times, band.high.probabilities),
    )


def survival(lasted: Iterable[Lasted]) -> Any:
    """SciPy's survival function: the share still worn after each day on which something was seen."""
    from scipy.stats import CensoredData, ecdf

    rows = list(lasted)
    ended = [row for row in rows if row.worn_out]
    seen = [row for row in rows if not row.worn_out]
    sample = CensoredData(
        uncensored=np.repeat([float(row.days) for row in ended], [row.pieces for row in ended]),
        right=np.repeat([float(row.days) for row in seen], [row.pieces for row in seen]),
    )
    return ecdf(sample).sf


def _half_gone(times: Any, shares: Any) -> int | None:
    """The first time at which no more than half are left; None where it never comes to that, or nothing is known."""
    gone = np.flatnonzero(np.asarray(shares) <= _HALF + _CLOSE)
    return int(times[gone[0]]) if gone.size else None
