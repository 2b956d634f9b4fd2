"""How much of her hair is grey, and whether two shades together come closer to it than one.

Hair of two colours, grown or wefted together, averages in linear light (XYZ) when it is seen from where people talk.
So a mixed reading lies on the straight line in XYZ between the two, and how far along is the share. Readings and
shades that are mixed or unmixed stand on one scale (`cross_reading`); that is the caller's to see to, except where the
readings of `best_mix` say their own.

XYZ and CIELAB under D65, 2° observer; shares from 0 to 1; differences in ΔE00.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.bands import BandLimits, NamedDifference, name_difference
from salon.colour.difference import ciede2000
from salon.colour.lab import lab_from_xyz, xyz_from_lab
from salon.colour.matching import Crossings, Reading, ZoneWeights, side_by_side

Array = NDArray[np.float64]

TOO_ALIKE = 5.0  # pigmented and grey hair closer than this in ΔE00 leave the share to the readings' doubt: a house rule
LEAST_SHARE = 0.1  # less than a tenth is neither seen as a second shade nor weighed out well (common practice)
PAIRS_AT_A_TIME = 32768  # the arrays of one block stay under a few tens of MB, however many shades there are
_STEPS = 1001  # shares tried for the range of a grey share: a tenth of a percent
_PARTS = ((1, 1), (3, 2), (2, 1), (3, 1), (4, 1), (5, 1), (9, 1))
_NUMBERS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 9: "nine"}


@dataclass(frozen=True, slots=True)
class GreyShare:
    """The share of grey in mixed hair.

    residual: ΔE00 between the reading of the mixed hair and the mix of that share. low, high: the shares whose mix is
    no further from the reading than the doubt of the readings allows, so that nine in ten such shares lie between.
    """

    share: float
    residual: float
    low: float
    high: float

    @property
    def words(self) -> str:
        """“about 35 % grey (30 to 41 %), with ΔE00 0.8 between such a mix and the reading”."""
        low, share, high = (round(100 * share) for share in (self.low, self.share, self.high))
        between = f" ({low} to {high} %)" if high > low else ""
        return f"about {share} % grey{between}, with ΔE00 {self.residual:.1f} between such a mix and the reading"


@dataclass(frozen=True, slots=True)
class Mix:
    """Two shades together against one client's readings, beside the best of them all alone.

    shades: their positions, the one with the larger share first. shares: of the two, adding up to 1. differences: ΔE00
    of each zone. named: the weighted difference with its band. colours: the L*a*b* of the mix at each zone. single,
    alone: the position of the shade that comes closest by itself, and its weighted difference.
    """

    shades: tuple[int, int]
    shares: tuple[float, float]
    differences: Mapping[str, float]
    named: NamedDifference
    colours: Mapping[str, tuple[float, float, float]]
    single: int
    alone: NamedDifference

    @property
    def parts(self) -> tuple[int, int]:
        """The shares in small whole numbers: (2, 1) for two parts to one."""
        return min(_PARTS, key=lambda parts: abs(parts[0] / sum(parts) - self.shares[0]))

    def in_words(self, larger: str, smaller: str) -> str:
        """“about two parts of A to one of B (64 % and 36 %)”; the names of the shades are the caller's."""
        more, less = self.parts
        percent = round(100 * self.shares[0])
        shares = f"({percent} % and {100 - percent} %)"
        if more == less:
            return f"about equal parts of {larger} and {smaller} {shares}"
        return f"about {_NUMBERS[more]} parts of {larger} to {_NUMBERS[less]} of {smaller} {shares}"


def grey_share(mixed_lab: ArrayLike, pigmented_lab: ArrayLike, grey_lab: ArrayLike, *, doubt: float = 0.0) -> GreyShare:
    """Unmix one reading of mixed hair, linearly in XYZ, into her own pigmented and her own grey hair.

    Each of shape (3,), all read on one scale; doubt: that of the comparison, in ΔE00. Raises ValueError with a sentence
    for colours that are not finite, or where pigmented and grey hair are too alike to tell a share.
    """
    mixed, pigmented, grey = (np.asarray(lab, dtype=np.float64) for lab in (mixed_lab, pigmented_lab, grey_lab))
    for lab in (mixed, pigmented, grey):
        if lab.shape != (3,) or not np.isfinite(lab).all():
            raise ValueError(f"a reading is three finite numbers (L*, a*, b*), got {lab.tolist()}")
    if not (np.isfinite(doubt) and doubt >= 0.0):
        raise ValueError(f"a colour doubt is zero or more, got {doubt!r}")
    apart = float(ciede2000(pigmented, grey))
    if apart < TOO_ALIKE:
        raise ValueError(
            f"Her pigmented and her grey hair read too alike to tell a share (ΔE00 {apart:.1f}, under {TOO_ALIKE:g}). "
            "Read a strand that is all pigment and one that is all grey."
        )
    start, way = xyz_from_lab(pigmented), xyz_from_lab(grey) - xyz_from_lab(pigmented)
    share = float(np.clip((xyz_from_lab(mixed) - start) @ way / (way @ way), 0.0, 1.0))

    def residual(shares: ArrayLike) -> Array:
        return ciede2000(lab_from_xyz(start + np.multiply.outer(shares, way)), mixed)

    least = float(residual(share))
    tried = np.linspace(0.0, 1.0, _STEPS)
    within = tried[residual(tried) <= np.hypot(least, doubt)]
    return GreyShare(share, least, low=float(min([share, *within[:1]])), high=float(max([share, *within[-1:]])))


def best_mix(
    readings: Mapping[str, Reading],
    shades: Mapping[str, ArrayLike],
    *,
    weights: ZoneWeights,
    limits: BandLimits,
    widened_by: int = 0,
    crossings: Crossings | None = None,
    shade_doubts: Mapping[str, ArrayLike] | None = None,
) -> Mix | None:
    """The two shades that come closest together, or None unless they are a band better than the best single shade.

    What comes in and what is refused is `matching.match_shades`'s.
    """
    mix = closest_mix(
        readings,
        shades,
        weights=weights,
        limits=limits,
        widened_by=widened_by,
        crossings=crossings,
        shade_doubts=shade_doubts,
    )
    return mix if mix and mix.named.band.rank < mix.alone.band.rank else None


def closest_mix(
    readings: Mapping[str, Reading],
    shades: Mapping[str, ArrayLike],
    *,
    weights: ZoneWeights,
    limits: BandLimits,
    widened_by: int = 0,
    crossings: Crossings | None = None,
    shade_doubts: Mapping[str, ArrayLike] | None = None,
) -> Mix | None:
    """The two shades that come closest together, however close the best single one is; None where no two mix.

    One share holds for all zones, as in a weft. For each pair it is the least-squares share in XYZ, a zone counting as
    in the match; of all pairs, the one with the least weighted ΔE00, doubt counted in, is taken. Only shades that can
    be compared at every zone that was read take part.
    """
    laid = side_by_side(readings, shades, crossings=crossings, shade_doubts=shade_doubts)
    places = np.flatnonzero(laid.compared.all(axis=1)) if laid.zones else np.empty(0, dtype=np.intp)
    if not places.size:
        return None
    counted = laid.shares(weights)[places[0]]  # one row for all, for each is compared at every zone
    doubts = laid.doubts[places] @ counted
    near = _Near(laid.own, xyz_from_lab(laid.own), xyz_from_lab(laid.colours[places]), doubts, counted)
    found = near.best_pair()
    if found is None:
        return None
    first, second, share = found if found[2] >= 0.5 else (found[1], found[0], 1.0 - found[2])
    mixed = lab_from_xyz(share * near.shades[first] + (1.0 - share) * near.shades[second])
    differences = ciede2000(mixed, laid.own)
    singles = ciede2000(laid.colours[places], laid.own) @ counted
    single = int(np.argmin(np.hypot(singles, doubts)))

    def named(difference: float, doubt: float) -> NamedDifference:
        return name_difference(float(difference), doubt=float(doubt), limits=limits, widened_by=widened_by)

    return Mix(
        shades=(int(places[first]), int(places[second])),
        shares=(share, 1.0 - share),
        differences=dict(zip(laid.zones, differences.tolist(), strict=True)),
        named=named(differences @ counted, share * doubts[first] + (1.0 - share) * doubts[second]),
        colours={zone: (lab[0], lab[1], lab[2]) for zone, lab in zip(laid.zones, mixed.tolist(), strict=True)},
        single=int(places[single]),
        alone=named(singles[single], doubts[single]),
    )


def pair_shares(first: Array, second: Array, wanted: Array, counted: Array) -> Array:
    """The share of the first of two shades whose mix lies nearest to what is wanted, by least squares in XYZ.

    first, second: shapes (..., k, 3), XYZ at k zones, that broadcast; wanted: (k, 3); counted: (k,), what each zone
    counts. With two shares that add up to 1 and are not negative, non-negative least squares has this closed form: the
    foot of the perpendicular on the line between both, or the nearer end. NaN where both are one colour.
    """
    apart = first - second
    along = np.einsum("...kx,k,...kx->...", apart, counted, wanted - second)
    length = np.einsum("...kx,k,...kx->...", apart, counted, apart)
    with np.errstate(invalid="ignore"):  # 0 / 0 is the NaN that is promised
        shares: Array = np.clip(along / length, 0.0, 1.0)
    return shares


@dataclass(frozen=True)
class _Near:
    """What is wanted at k zones and what there is: `own` (L*a*b*) and `wanted` (XYZ) of shape (k, 3), `shades` (n, k,
    3) in XYZ, `doubts` (n,) of their comparisons, and `counted` (k,), what each zone counts."""

    own: Array
    wanted: Array
    shades: Array
    doubts: Array
    counted: Array

    def best_pair(self) -> tuple[int, int, float] | None:
        """Positions of the two shades and the share of the first; all pairs are tried, a block at a time."""
        count = len(self.shades)
        rows = max(1, PAIRS_AT_A_TIME // count)
        blocks = [self._best_of(np.arange(start, min(start + rows, count - 1))) for start in range(0, count - 1, rows)]
        return min((found for found in blocks if found), default=(0.0, None))[1]

    def _best_of(self, block: NDArray[np.intp]) -> tuple[float, tuple[int, int, float]] | None:
        """The best pair of a shade of the block with a later one, after its distance."""
        first, second = (
            np.ravel(side) for side in np.meshgrid(block, np.arange(block[0] + 1, len(self.shades)), indexing="ij")
        )
        shares = pair_shares(self.shades[first], self.shades[second], self.wanted, self.counted)
        mixed = (second > first) & (shares >= LEAST_SHARE) & (shares <= 1.0 - LEAST_SHARE)
        if not mixed.any():
            return None
        first, second, shares = first[mixed], second[mixed], shares[mixed]
        of_first = shares[:, None, None]
        lab = lab_from_xyz(of_first * self.shades[first] + (1.0 - of_first) * self.shades[second])
        doubts = shares * self.doubts[first] + (1.0 - shares) * self.doubts[second]
        distances = np.hypot(ciede2000(lab, self.own) @ self.counted, doubts)
        at = int(np.argmin(distances))
        return float(distances[at]), (int(first[at]), int(second[at]), float(shares[at]))
