"""Which shades come closest to a client's own hair, zone by zone and as she will be seen.

Roots are compared with roots, mid-lengths with mid-lengths, ends with ends. The weighted difference leans on the zones
where own hair lies against the piece. That weighting is a house rule (common practice, no published source):

* the roots count as far as own hair borders the base: `edge_shows`, 0 to 1;
* the ends count as far as own hair hangs out below the piece: `hangs_below`, 0 to 1. `hair_below` gives 1 when own
  hair is as long as the piece, 0 when it is half as long or shorter, and a straight line between;
* the mid-lengths, seen along with either, count as the mean of both;
* where nothing of her own hair shows, or only zones that would count nothing were read, those compared count alike.

A zone without a reading is left out, the others take its share, and the match says so. Each zone is compared on the
scale its reading was taken on: photo readings run tens of L* too light against an instrument (Vaughn et al., Forensic
Sci Int 183:97-101, 2009, abstract read). A shade without a value on that scale is carried over from another one where
the salon's own shades lead there (`cross_reading`); how far that is out joins the doubt, and the match says so. Where
nothing leads there, the zone is left out; a shade that can be compared in no zone that was read is not measured, and
never ranks. A reading by eye is a shade's own value, on that value's scale.

A shade that was read from a photo has its own doubt. What one routine gets wrong in one salon it gets wrong alike for
her hair and for the ring, so the larger of the two doubts counts, not both together (a house rule); the residual of a
shade carried over is another matter, and is added in quadrature.

CIELAB, D65, 2° observer. Leaves the words for a number to `bands`, and two shades together to `mixing`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.bands import BandLimits, NamedDifference, name_difference
from salon.colour.cross_reading import INSTRUMENT, CrossReading, scale_in_words
from salon.colour.difference import ciede2000

Array = NDArray[np.float64]

ZONES = ("root", "mid", "ends")
Method = Literal["instrument", "by eye", "card", "chart"]
Crossings = Mapping[tuple[str, str], CrossReading]

NO_READING = "no reading"
NOT_MEASURED = "not measured"
NOT_THAT_WAY = "not measured the way her hair was read"


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured colour of a client's own hair: L*a*b*, its doubt, how it was read, and the scale it stands on.

    The doubt is the ΔE00 within which nine readings in ten lie.
    """

    lab: tuple[float, float, float]
    doubt: float
    method: Method
    scale: str = INSTRUMENT


@dataclass(frozen=True, slots=True)
class ZoneWeights:
    """How much each zone counts; only their proportions matter. Raises ValueError if one is negative."""

    root: float
    mid: float
    ends: float

    def __post_init__(self) -> None:
        if not (np.isfinite(self.as_array()).all() and min(self.root, self.mid, self.ends) >= 0.0):
            raise ValueError(f"a zone counts zero or more, got {self}")

    def as_array(self) -> Array:
        """Shape (3,), in the order of ZONES."""
        return np.array([self.root, self.mid, self.ends])


@dataclass(frozen=True, slots=True)
class Crossed:
    """From which scale a shade was carried over to that of a reading, and by what."""

    from_scale: str
    way: CrossReading

    @property
    def words(self) -> str:
        return f"carried over from {scale_in_words(self.from_scale)} {self.way.words}"


@dataclass(frozen=True, slots=True)
class Match:
    """One shade against one client's readings.

    differences: ΔE00 of each zone that was compared. left_out: why each other zone was not. named: the weighted
    difference with its band, None when the shade is not measured or nothing could be compared. colours: the shade's
    L*a*b* at each zone as it was compared, on the scale of that zone's reading. crossed: the zones where it was carried
    over to that scale. not_measured: empty, or why the shade can be compared with none of her readings.
    """

    differences: Mapping[str, float]
    left_out: Mapping[str, str]
    named: NamedDifference | None
    colours: Mapping[str, tuple[float, float, float]]
    crossed: Mapping[str, Crossed]
    not_measured: str = ""

    @property
    def is_measured(self) -> bool:
        return not self.not_measured

    @property
    def distance(self) -> tuple[int, float]:
        """What it is ranked by: compared whole before in part, then closer first, the doubt counted in."""
        return (len(self.left_out), self.named.with_doubt if self.named else float("inf"))

    @property
    def words(self) -> str:
        """The match in one line, with what was left out and how the shade was carried over."""
        return f"{self.compared_words}; shade {self.crossed_words}" if self.crossed else self.compared_words

    @property
    def compared_words(self) -> str:
        """The match in one line, with what was left out."""
        if self.not_measured:
            return self.not_measured
        if self.named is None:
            return "not compared: " + self._left_out_words()
        return self.named.words + (f"; left out: {self._left_out_words()}" if self.left_out else "")

    @property
    def crossed_words(self) -> str:
        """How the shade came onto the scale of her readings, with its residual; empty when it was read that way."""
        return " and ".join(dict.fromkeys(crossed.words for crossed in self.crossed.values()))

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


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One client's readings beside many shades, each zone on the scale of its reading.

    zones: the k zones that were read, in the order of ZONES. own: shape (k, 3). own_doubt: (k,). colours: the shades,
    (n, k, 3), NaN where a shade can't be compared. doubts: (n, k), of each comparison. ways: (n, k) of how a colour was
    carried over, None where it was not. has_value: (n,), measured on any scale.
    """

    zones: tuple[str, ...]
    own: Array
    colours: Array
    doubts: Array
    ways: NDArray[np.object_]
    has_value: NDArray[np.bool_]

    @property
    def compared(self) -> NDArray[np.bool_]:
        """Which shades can be compared at which zone, shape (n, k)."""
        found: NDArray[np.bool_] = np.isfinite(self.colours[..., 0])
        return found

    def shares(self, weights: ZoneWeights) -> Array:
        """What each compared zone counts for each shade, shape (n, k), rows adding up to 1 (to 0 if none was)."""
        counted = weights.as_array()[[ZONES.index(zone) for zone in self.zones]] * self.compared
        alike = self.compared.astype(np.float64)
        counted = np.where(counted.sum(axis=1, keepdims=True) > 0.0, counted, alike)
        shares: Array = counted / np.maximum(counted.sum(axis=1, keepdims=True), np.finfo(np.float64).tiny)
        return shares


def side_by_side(
    readings: Mapping[str, Reading],
    shades: Mapping[str, ArrayLike],
    *,
    crossings: Crossings | None = None,
    shade_doubts: Mapping[str, ArrayLike] | None = None,
) -> SideBySide:
    """Bring many shades onto the scales of one client's readings.

    shades: for each scale shape (n, 3, 3), L*a*b* of the same n shades at root, mid and ends; a shade that holds a NaN
    on a scale is not measured on it. crossings: by (from scale, to scale); of several that lead from where a shade was
    measured, the one with the least residual is taken, as far as it reaches. shade_doubts: shape (n,) for each scale on
    which the shades' own readings have doubts; where one is unknown, or NaN, it counts as 0.
    Raises ValueError for another shape, an unknown zone or a reading that is not finite.
    """
    _refuse(readings)
    measured = _measured(shades)
    zones = tuple(zone for zone in ZONES if zone in readings)
    count = len(next(iter(measured.values())))
    colours = np.full((count, len(zones), 3), np.nan)
    doubts = np.tile([readings[zone].doubt for zone in zones], (count, 1))
    ways = np.full((count, len(zones)), None, dtype=object)
    for k, zone in enumerate(zones):
        scale, place = readings[zone].scale, ZONES.index(zone)
        if scale in measured:
            colours[:, k] = measured[scale][:, place]
            doubts[:, k] = np.fmax(doubts[:, k], (shade_doubts or {}).get(scale, 0.0))
        leading = [(way.residual, come_from, way) for (come_from, to), way in (crossings or {}).items() if to == scale]
        for _, come_from, way in sorted(leading, key=lambda one: one[:2]):
            if come_from not in measured:
                continue
            there = measured[come_from][:, place]
            missing = np.isnan(colours[:, k, 0]) & np.isfinite(there[:, 0]) & way.reaches(there)
            colours[missing, k] = way.apply(there[missing])
            doubts[missing, k] = np.hypot(readings[zone].doubt, way.residual)
            ways[missing, k] = Crossed(come_from, way)
    return SideBySide(
        zones=zones,
        own=np.array([readings[zone].lab for zone in zones]).reshape(len(zones), 3),
        colours=colours,
        doubts=doubts,
        ways=ways,
        has_value=np.any([np.isfinite(lab).all(axis=(1, 2)) for lab in measured.values()], axis=0),
    )


def match_shades(
    readings: Mapping[str, Reading],
    shades: Mapping[str, ArrayLike],
    *,
    weights: ZoneWeights,
    limits: BandLimits,
    widened_by: int = 0,
    crossings: Crossings | None = None,
    shade_doubts: Mapping[str, ArrayLike] | None = None,
) -> tuple[Match, ...]:
    """Compare one client's readings (by zone) with many shades at once; one Match a shade, in the order given.

    `shades`, `crossings` and `shade_doubts` are `side_by_side`'s, and so is what is refused. The doubt of the
    weighted difference is the weighted mean of the zones' doubts: one eye in one light errs alike in every zone.
    `widened_by` is `bands.name_difference`'s: how many bands more pass under full cover.
    """
    laid = side_by_side(readings, shades, crossings=crossings, shade_doubts=shade_doubts)
    compared, shares = laid.compared, laid.shares(weights)
    differences = ciede2000(laid.colours, laid.own)
    weighted = np.where(compared, differences * shares, 0.0).sum(axis=1)
    doubts = (laid.doubts * shares).sum(axis=1)
    unread = {zone: NO_READING for zone in ZONES if zone not in readings}
    matches = []
    for i, (whole, doubt) in enumerate(zip(weighted.tolist(), doubts.tolist(), strict=True)):
        found = {zone: k for k, zone in enumerate(laid.zones) if compared[i, k]}
        if not found and not (laid.has_value[i] and not laid.zones):
            why = NOT_THAT_WAY if laid.has_value[i] else NOT_MEASURED
            matches.append(Match({}, unread, None, {}, {}, not_measured=why))
            continue
        named = name_difference(whole, doubt=doubt, limits=limits, widened_by=widened_by) if found else None
        matches.append(
            Match(
                differences={zone: float(differences[i, k]) for zone, k in found.items()},
                left_out=unread | {zone: NOT_THAT_WAY for zone in laid.zones if zone not in found},
                named=named,
                colours={zone: _lab(laid.colours[i, k]) for zone, k in found.items()},
                crossed={zone: way for zone, k in found.items() if (way := laid.ways[i, k]) is not None},
            )
        )
    return tuple(matches)


def ranked(matches: Sequence[Match]) -> list[int]:
    """Positions of the matches that have a weighted difference, by their distance; equal ones keep their order."""
    return sorted((i for i, match in enumerate(matches) if match.named), key=lambda i: matches[i].distance)


def _measured(shades: Mapping[str, ArrayLike]) -> dict[str, Array]:
    """The shades on each scale, NaN throughout for one that is not measured whole on it."""
    if not shades:
        raise ValueError("shades are handed in by scale; with none measured, one scale of NaN")
    measured: dict[str, Array] = {}
    for scale, given in shades.items():
        colours = np.array(given, dtype=np.float64)
        if colours.ndim != 3 or colours.shape[1:] != (3, 3):
            raise ValueError(f"shades have shape (n, 3 zones, 3 of L*a*b*), got {colours.shape} for {scale}")
        colours[~np.isfinite(colours).all(axis=(1, 2))] = np.nan
        measured[scale] = colours
    counts = {scale: len(colours) for scale, colours in measured.items()}
    if len(set(counts.values())) > 1:
        raise ValueError(f"every scale tells of the same shades, got {counts}")
    return measured


def _refuse(readings: Mapping[str, Reading]) -> None:
    """Raise for readings that make no sense."""
    unknown = set(readings) - set(ZONES)
    if unknown:
        raise ValueError(f"unknown zone {sorted(unknown)[0]!r}; the zones are {', '.join(ZONES)}")
    for zone, reading in readings.items():
        if not np.isfinite([*reading.lab, reading.doubt]).all() or reading.doubt < 0.0:
            raise ValueError(
                f"the reading of the {zone} needs finite L*, a*, b* and a doubt of zero or more: {reading}"
            )


def _lab(colour: Array) -> tuple[float, float, float]:
    lightness, a, b = colour.tolist()
    return lightness, a, b
