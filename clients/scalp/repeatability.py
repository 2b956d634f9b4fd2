"""How far apart do two paintings of one head lie, and so how sure is one value, and one change?

From heads painted twice: the within-subject standard deviation s_w = √(Σd² / 2n) of n differences d between the two
paintings. One value lies within ± t·s_w of the head's own, a difference of two values of a head on which nothing has
changed within ± t·√2·s_w, each for 95 % of the time. t is Student's for n degrees of freedom, one a pair, and comes
down to the 1.96 of the papers as pairs are added. Units are those of the differences.

Sources: Bland J. M. and Altman D. G., Measurement error, BMJ 313 (1996) 744 (READ); the same, Statistical methods for
assessing agreement between two methods of clinical measurement, Lancet 327 (1986) 307-310 (READ in part). That few
pairs ask for t in place of 1.96 is our own caution.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_SURE: Final = 0.95


@dataclass(frozen=True)
class Repeatability:
    """What so many heads painted twice say of how far paintings lie apart."""

    pairs: int
    within_sd: float
    """s_w, in the unit of the differences."""

    @property
    def factor(self) -> float:
        """t of the 95 % interval with one degree of freedom a pair."""
        from scipy.special import stdtrit

        return float(stdtrit(self.pairs, (1 + _SURE) / 2))

    @property
    def of_one(self) -> float:
        """Half the width of the interval of one value."""
        return self.factor * self.within_sd

    @property
    def of_a_difference(self) -> float:
        """Up to where two paintings of one head differ: the repeatability of Bland and Altman, with t for 1.96."""
        return math.sqrt(2) * self.of_one

    def explains(self, difference: float) -> bool:
        """Whether painting alone can differ by so much."""
        return abs(difference) <= self.of_a_difference


def repeatability(differences: Sequence[float]) -> Repeatability:
    """From the difference of each pair; ValueError when there is none or one is no number."""
    if not differences or not all(math.isfinite(difference) for difference in differences):
        raise ValueError("repeatability is worked out from one or more finite differences")
    squares = math.fsum(difference * difference for difference in differences)
    return Repeatability(len(differences), math.sqrt(squares / (2 * len(differences))))
