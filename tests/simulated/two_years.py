"""What would a salon sell in two years, and what would come back, if certain things were true: invented facts by seed.

Two effects are planted and nothing else: a piece that was sold with a margin under THIN_MARGIN_MM comes back TIMES as
often, mostly because it slips, and so does one piece of the range whatever its margin. Cover, clips, colour, length,
whether it is her first, shade and stylist change nothing. A review of these facts must find the first two and none of
the others. No database: days, millimetres, shares and ΔE00 alone, so that fifty salons take seconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

DAYS: Final = 730
A_WEEK: Final = 9  # pieces sold, as two or three stylists do

USUALLY_BACK: Final = 0.08  # of pieces with a good margin
THIN_MARGIN_MM: Final = 10.0
TIMES: Final = 3.0
BACK_WITHIN_DAYS: Final = 85

PIECES: Final = 12
POOR_PIECE: Final = 1
SHADES: Final = 8
STYLISTS: Final = 3

SLIPS: Final = "It slips"
OTHER_REASONS: Final = ("The colour is off", "It feels heavy", "She changed her mind", "It sheds", "Too long")
_SLIPS_OF_THIN: Final = 0.7
_SLIPS_OF_OTHERS: Final = 0.2
_NOT_MEASURED: Final = 0.08  # of each measurement


@dataclass(frozen=True)
class SoldPiece:
    """One piece sold: `day` counts from the first of the two years; None where nobody measured, or it was kept.

    The measurements have the names of a sold line's columns.
    """

    day: int
    piece: int
    shade: int
    stylist: int
    margin_mm: float | None
    cover: float | None
    clips_holding: int | None
    colour_difference: float | None
    length_step_mm: int | None
    is_first_piece: bool
    back_after_days: int | None = None
    reason: str = ""


def chance_of_return(margin_mm: float, *, is_poor: bool = False) -> float:
    """How likely a piece is to come back, by the planted effects.

    >>> round(chance_of_return(9.5), 2), chance_of_return(10.0)
    (0.24, 0.08)
    """
    return USUALLY_BACK * (TIMES if margin_mm < THIN_MARGIN_MM else 1.0) * (TIMES if is_poor else 1.0)


def come_back(rng: np.random.Generator, margin_mm: float, *, is_poor: bool = False) -> tuple[int, str] | None:
    """After how many days it comes back and why; None for one that is kept."""
    if rng.random() >= chance_of_return(margin_mm, is_poor=is_poor):
        return None
    days = 1 + min(int(rng.exponential(18)), BACK_WITHIN_DAYS - 1)
    slips = rng.random() < (_SLIPS_OF_THIN if margin_mm < THIN_MARGIN_MM else _SLIPS_OF_OTHERS)
    return days, SLIPS if slips else str(rng.choice(OTHER_REASONS))


def sold_in_two_years(seed: int) -> list[SoldPiece]:
    """All that the salon of that seed sold, by day; the same seed gives the same salon."""
    rng = np.random.default_rng(seed)
    n = int(rng.poisson(A_WEEK * DAYS / 7))
    wanted = 1 / np.arange(2, PIECES + 2)  # some pieces sell far more than others
    measured = {
        "margin_mm": np.clip(np.round(rng.normal(16, 6.5, n) * 2) / 2, 0, 45),
        "cover": np.round(1 - rng.beta(1.2, 14, n), 3),
        "clips_holding": rng.binomial(5, 0.75, n),
        "colour_difference": np.round(rng.gamma(3, 0.9, n), 2),
        "length_step_mm": rng.integers(-4, 9, n) * 10,
    }
    columns = {
        "day": np.sort(rng.integers(0, DAYS, n)).tolist(),
        "piece": rng.choice(PIECES, n, p=wanted / wanted.sum()).tolist(),
        "shade": rng.integers(SHADES, size=n).tolist(),
        "stylist": rng.integers(STYLISTS, size=n).tolist(),
        "is_first_piece": (rng.random(n) < 0.4).tolist(),
    }
    margins_mm = measured["margin_mm"].tolist()
    backs = [
        come_back(rng, margin_mm, is_poor=piece == POOR_PIECE) or (None, "")
        for margin_mm, piece in zip(margins_mm, columns["piece"], strict=True)
    ]
    columns["back_after_days"], columns["reason"] = (list(column) for column in zip(*backs, strict=True))
    for name, values in measured.items():
        skipped = rng.random(n) < _NOT_MEASURED
        columns[name] = [None if skip else value for skip, value in zip(skipped, values.tolist(), strict=True)]
    return [SoldPiece(**dict(zip(columns, row, strict=True))) for row in zip(*columns.values(), strict=True)]
