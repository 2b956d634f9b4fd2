"""What would a salon sell in two years, and what would come back, if certain things were true: invented facts by seed.

Two effects are planted and nothing else: a piece that was sold with a margin under THIN_MARGIN_MM comes back TIMES as
often, mostly because it slips, and so does one piece of the range whatever its margin. Cover, clips, colour, length,
whether it is her first, shade and stylist change nothing. A review of these facts must find the first two and none of
the others. Pure: days, millimetres, shares and ΔE00; who writes them into a database is `loading`'s.
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
    wanted = 1 / np.arange(2, PIECES + 2)  # some pieces sell far more than others
    days = np.sort(rng.integers(0, DAYS, rng.poisson(A_WEEK * DAYS / 7)))
    return [_sold(rng, int(day), wanted / wanted.sum()) for day in days]


def _sold(rng: np.random.Generator, day: int, wanted: np.ndarray) -> SoldPiece:
    margin_mm = float(np.clip(np.round(rng.normal(16, 6.5) * 2) / 2, 0, 45))
    piece = int(rng.choice(PIECES, p=wanted))
    back = come_back(rng, margin_mm, is_poor=piece == POOR_PIECE)
    measured = rng.random(5) >= _NOT_MEASURED
    return SoldPiece(
        day=day,
        piece=piece,
        shade=int(rng.integers(SHADES)),
        stylist=int(rng.integers(STYLISTS)),
        margin_mm=margin_mm if measured[0] else None,
        cover=round(float(1 - rng.beta(1.2, 14)), 3) if measured[1] else None,
        clips_holding=int(rng.binomial(5, 0.75)) if measured[2] else None,
        colour_difference=round(float(rng.gamma(3, 0.9)), 2) if measured[3] else None,
        length_step_mm=int(rng.integers(-4, 9)) * 10 if measured[4] else None,
        is_first_piece=bool(rng.random() < 0.4),
        back_after_days=back[0] if back else None,
        reason=back[1] if back else "",
    )
