"""Which shades come closest to a client's own hair, zone by zone and as she will be seen.

Roots are compared with roots, mid-lengths with mid-lengths, ends with ends. The weighted difference leans on the zones
where own hair lies against the piece. That weighting is a house rule (common practice, no published source):

* the roots count as far as own hair borders the base: `edge_shows`, 0 to 1;
* the ends count as far as own hair hangs out below the piece: `hangs_below`, 0 to 1. `hair_below` gives 1 when own
  hair is as long as the piece, 0 when it is half as long or shorter, and a straight line between;
* the mid-lengths, seen along with either, count as the mean of both;
* where nothing of her own hair shows, or only zones that would count nothing were read, those compared count alike.

A zone without a reading is left out, the others take its share, and the match says so. A shade that is not measured in
a zone that is compared is "not measured" and never ranks. Photo readings run tens of L* too light against an instrument
(Vaughn et al., Forensic Sci Int 183:97-101, 2009, abstract read), so a reading is only compared with shades that were
measured the same way; a reading by eye is a measured shade's own value and goes with either.

CIELAB, D65, 2° observer. Leaves the words for a number to `bands`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.bands import BandLimits, NamedDifference, name_difference
from salon.colour.difference import ciede2000

ZONES = ("root", "mid", "ends")
Method = Literal["instrument", "by eye", "photo"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured colour of a client's own hair: L*a*b*, its doubt (one standard deviation, ΔE00), how it was read."""

    lab: tuple[float, float, float]
    doubt: float
    method: Method


@dataclass(frozen=True, slots=True)
class ZoneWeights:
    """How much each zone counts; only their proportions matter. Raises ValueError if one is negative."""

    root: float
    mid: float
    ends: float

    def __post_init__(self) -> None:
        if not (np.isfinite(self.as_array()).all() and min(self.root, self.mid, self.ends) >= 0.0):
            raise ValueError(f"a zone counts zero or more, got {self}")

    def as_array(self) -> NDArray[np.float64]:
        """Shape (3,), in the order of ZONES."""
        return np.array([self.root, self.mid, self.ends])


@dataclass(frozen=True, slots=True)
class Match:
    """One shade against one client's readings.

    differences: ΔE00 of each zone that was compared. left_out: why each other zone was not. named: the weighted
    difference with its band, None when the shade is not measured or nothing could be compared.
    """

    differences: Mapping[str, float]
    left_out: Mapping[str, str]
    named: NamedDifference | None
    is_measured: bool

    @property
    def words(self) -> str:
        """The match in one line, with what was left out."""
        if not self.is_measured:
            return "not measured"
        if self.named is None:
            return "not compared: " + self._left_out_words()
        return self.named.words + (f"; left out: {self._left_out_words()}" if self.left_out else "")

    def _left_out_words(self) -> str:
        return ", ".join(f"{zone} ({reason})" for zone, reason in self.left_out.items())


def hair_below(own_hair_length_mm: float, piece_length_mm: float) -> float:
    """How far own hair hangs out below a piece, 0 to 1: the house rule in this module's heading."""
    if piece_length_mm <= 0.0 or own_hair_length_mm < 0.0:
        raise ValueError(
            f"hair lengths are above zero, got own {own_hair_length_mm:g} mm, piece {piece_length_mm:g} mm"
        )
    return min(1.0, max(0.0, 2.0 * own_hair_length_mm / piece_length_mm - 1.0))


def zone_weights(*, edge_shows: float, hangs_below: float) -> ZoneWeights:
    """What each zone counts: the house rule in this module's heading. Raises ValueError for a share outside 0 to 1."""
    for name, share in (("edge_shows", edge_shows), ("hangs_below", hangs_below)):
        if not 0.0 <= share <= 1.0:
            raise ValueError(f"{name} is a share from 0 to 1, got {share!r}")
    if edge_shows == hangs_below == 0.0:
        return ZoneWeights(1.0, 1.0, 1.0)
    return ZoneWeights(root=edge_shows, mid=(edge_shows + hangs_below) / 2.0, ends=hangs_below)


def match_shades(
    readings: Mapping[str, Reading],
    shades: ArrayLike,
    *,
    weights: ZoneWeights,
    limits: BandLimits,
    widened_by: int = 0,
    shade_method: Method = "instrument",
) -> tuple[Match, ...]:
    """Compare one client's readings (by zone) with many shades at once; one Match a shade, in the order given.

    shades: shape (n, 3, 3), L*a*b* of each shade at root, mid and ends, NaN where not measured. The doubt of the
    weighted difference is the weighted mean of the zones' doubts: one eye in one light errs alike in every zone.
    `widened_by` is `bands.name_difference`'s: how many bands more pass under full cover.
    Raises ValueError for another shape, an unknown zone or a reading that is not finite.
    """
    colours = np.asarray(shades, dtype=np.float64)
    if colours.ndim != 3 or colours.shape[1:] != (3, 3):
        raise ValueError(f"shades have shape (n, 3 zones, 3 of L*a*b*), got {colours.shape}")
    left_out = _left_out(readings, shade_method)
    compared = [zone for zone in ZONES if zone not in left_out]
    columns = [ZONES.index(zone) for zone in compared]
    wanted = colours[:, columns or slice(None)].reshape(len(colours), -1)
    measured = [all(row) for row in np.isfinite(wanted).tolist()]
    if not compared:
        return tuple(Match({}, left_out, None, is_measured=known) for known in measured)

    own = np.array([readings[zone].lab for zone in compared])
    differences = ciede2000(colours[:, columns], own)
    share = weights.as_array()[columns]
    share = share / share.sum() if share.sum() > 0.0 else np.full(len(columns), 1.0 / len(columns))
    doubt = float(share @ [readings[zone].doubt for zone in compared])
    weighted = differences @ share
    return tuple(
        Match(
            dict(zip(compared, of_zones, strict=True)),
            left_out,
            name_difference(whole, doubt=doubt, limits=limits, widened_by=widened_by),
            is_measured=True,
        )
        if known
        else Match({}, left_out, None, is_measured=False)
        for known, of_zones, whole in zip(measured, differences.tolist(), weighted.tolist(), strict=True)
    )


def ranked(matches: Sequence[Match]) -> list[int]:
    """Positions of the matches that have a weighted difference, closest first; equal ones keep their order."""
    named = [(match.named.difference, place) for place, match in enumerate(matches) if match.named is not None]
    return [place for _, place in sorted(named)]


def _left_out(readings: Mapping[str, Reading], shade_method: Method) -> dict[str, str]:
    """Why each zone can't be compared; zones that can are not in it. Refuses readings that make no sense."""
    unknown = set(readings) - set(ZONES)
    if unknown:
        raise ValueError(f"unknown zone {sorted(unknown)[0]!r}; the zones are {', '.join(ZONES)}")
    reasons: dict[str, str] = {}
    for zone in ZONES:
        reading = readings.get(zone)
        if reading is None:
            reasons[zone] = "no reading"
        elif not np.isfinite([*reading.lab, reading.doubt]).all() or reading.doubt < 0.0:
            raise ValueError(
                f"the reading of the {zone} needs finite L*, a*, b* and a doubt of zero or more: {reading}"
            )
        elif reading.method not in ("by eye", shade_method):
            reasons[zone] = f"read by {reading.method}, the shade by {shade_method}"
    return reasons
