"""What a colour difference is called: four bands in words, always said with the number.

The limits are house rules and come from outside, because no published limit exists for hair. They were started from
dentistry (half of 175 observers saw ΔE00 0.8 and accepted 1.8: Paravina et al., J Esthet Restor Dent 27 suppl 1, 2015,
abstract read) and textiles (ISO 105-A02 grey scale, in CIELAB differences: preview read).

The doubt of a reading is the ΔE00 within which nine readings in ten lie: what “give or take” says beside the number. It
is added in quadrature before the band is named, so that a careless reading can't earn the best word.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum


class Band(Enum):
    """The bands in order, from the one nobody sees to the one everybody does."""

    DISAPPEARS = "disappears"
    CLOSE = "close"
    SHOWS = "shows at the edge"
    ANOTHER = "another colour"

    @property
    def rank(self) -> int:
        """0 for the best band, 3 for the worst."""
        return list(Band).index(self)


@dataclass(frozen=True, slots=True)
class BandLimits:
    """The largest ΔE00 of each of the first three bands; raises ValueError unless they rise from above zero."""

    disappears: float
    close: float
    shows: float

    def __post_init__(self) -> None:
        if not 0.0 < self.disappears < self.close < self.shows < math.inf:
            raise ValueError(
                "the limits of the colour bands must rise from above zero: "
                f"got {self.disappears:g} (disappears), {self.close:g} (close), {self.shows:g} (shows at the edge)"
            )

    def band_of(self, difference: float) -> Band:
        """The band a ΔE00 falls in; a difference on a limit belongs to the better band."""
        if difference <= self.disappears:
            return Band.DISAPPEARS
        if difference <= self.close:
            return Band.CLOSE
        return Band.SHOWS if difference <= self.shows else Band.ANOTHER


@dataclass(frozen=True, slots=True)
class NamedDifference:
    """A ΔE00 with the doubt of its reading, the band that both together fall in, and whether that will do."""

    difference: float
    doubt: float
    band: Band
    passes: bool

    @property
    def with_doubt(self) -> float:
        """Difference and doubt in quadrature: what the band was named by."""
        return math.hypot(self.difference, self.doubt)

    @property
    def words(self) -> str:
        """The band with its number, as it stands on screens and papers."""
        doubt = f", give or take {self.doubt:.1f}" if self.doubt else ""
        return f"{self.band.value} (ΔE00 {self.difference:.1f}{doubt})"


def name_difference(difference: float, *, doubt: float, limits: BandLimits, widened_by: int = 0) -> NamedDifference:
    """Name a ΔE00 read with a doubt (in ΔE00: nine readings in ten lie within it).

    The first two bands pass, and `widened_by` more: under full cover little own hair lies against the piece, and a
    house rule says how many bands that is worth (common practice). Raises ValueError for a difference, doubt or
    widening that is negative or not finite.
    """
    for name, value in (("difference", difference), ("doubt", doubt), ("widening", widened_by)):
        if not (math.isfinite(value) and value >= 0.0):
            raise ValueError(f"a colour {name} is zero or more, got {value!r}")
    band = limits.band_of(math.hypot(difference, doubt))
    return NamedDifference(difference, doubt, band, passes=band.rank <= Band.CLOSE.rank + widened_by)
