"""How do the colours of her own hair stand beside the salon's shades? On one scale, carried over, mixed of two.

Gathers her readings and the shades, in a fixed number of queries; the numbers are `salon.colour`'s, and how far her own
hair shows around a piece is told by the caller as `Seen`. L*a*b* under D65, 2° observer; differences in ΔE00.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from django.db.models import Prefetch
from numpy.typing import NDArray

from clients.models import ColourReading
from pieces.models import Shade, ShadeReading, Unit
from salon.colour.bands import BandLimits
from salon.colour.cross_reading import INSTRUMENT, CrossReading, cross_reading, scale_in_words
from salon.colour.matching import ZONES, Match, Method, Reading, ZoneWeights, match_shades
from salon.colour.mixing import GreyShare, Mix, best_mix, grey_share

if TYPE_CHECKING:
    from django.db.models import QuerySet

Array = NDArray[np.float64]
METHODS: Mapping[str, Method] = {
    ColourReading.Method.INSTRUMENT: "instrument",
    ColourReading.Method.BY_EYE: "by eye",
    ColourReading.Method.CARD: "card",
    ColourReading.Method.CHART: "chart",
}
_FOR_THE_GREY = (ColourReading.Zone.ROOT, ColourReading.Strand.PIGMENT, ColourReading.Strand.GREY)


class Seen(NamedTuple):
    """How a difference is judged around one placement: what each zone counts, the bands, and how many more pass."""

    weights: ZoneWeights
    limits: BandLimits
    widened_by: int


@dataclass(frozen=True)
class GreyTold:
    """The share of grey at her roots, or why there is none although a strand was read."""

    share: GreyShare | None
    words: str

    def kept(self) -> dict[str, Any]:
        """Plain data for a JSON column."""
        return {"words": self.words} | (asdict(self.share) if self.share else {})


@dataclass(frozen=True)
class MixTold:
    """Two shades that lie in the drawer and come closer together than the closest of them alone."""

    mix: Mix
    shades: tuple[Shade, Shade]
    alone: Shade

    @property
    def words(self) -> str:
        return self.mix.in_words(*(str(shade) for shade in self.shades))


@dataclass(frozen=True)
class OwnColours:
    """Her readings by zone, the ways from other scales to theirs, the ways refused (each a sentence), and her grey."""

    readings: dict[str, Reading]
    crossings: dict[tuple[str, str], CrossReading]
    refused: tuple[str, ...]
    grey: GreyTold | None

    def matched(self, shades: Sequence[Shade], seen: Seen) -> tuple[Match, ...]:
        """Each shade against her readings, in the order given. Fetch the shades' readings first."""
        colours, doubts = _by_scale(shades)
        return match_shades(self.readings, colours, **seen._asdict(), crossings=self.crossings, shade_doubts=doubts)

    def mixed(self, shades: Sequence[Shade], seen: Seen) -> MixTold | None:
        """The best mix of two of these shades, if it is a band better than the best one."""
        if not shades:
            return None
        colours, doubts = _by_scale(shades)
        mix = best_mix(self.readings, colours, **seen._asdict(), crossings=self.crossings, shade_doubts=doubts)
        if mix is None:
            return None
        larger, smaller = mix.shades
        return MixTold(mix, (shades[larger], shades[smaller]), shades[mix.single])


def own_colours(readings: Iterable[ColourReading]) -> OwnColours:
    """What was read of her hair, with the ways that lead to its scales: two queries at most, none without a reading."""
    rows = list(readings)
    zones = {row.zone: Reading(row.lab, row.doubt, METHODS[row.method], row.scale) for row in rows if row.zone in ZONES}
    crossings, refused = _ways_to({reading.scale for reading in zones.values()})
    return OwnColours(zones, crossings, refused, measured_grey(rows))


def measured_grey(readings: Iterable[ColourReading]) -> GreyTold | None:
    """Unmixes the reading of her roots into her two strands; None while neither strand was read."""
    by_zone = {reading.zone: reading for reading in readings}
    if not any(strand.value in by_zone for strand in ColourReading.Strand):
        return None
    found = [by_zone[zone.value] for zone in _FOR_THE_GREY if zone.value in by_zone]
    if len(found) < len(_FOR_THE_GREY):
        return GreyTold(None, "not worked out: it takes the roots, a strand with its own colour and a grey strand")
    if len({reading.scale for reading in found}) > 1:
        return GreyTold(None, "not worked out: the roots and the two strands were not read the same way")
    roots, pigmented, grey = found
    try:
        # one way of reading errs alike in all three, so the largest doubt counts, as it does in a match
        share = grey_share(roots.lab, pigmented.lab, grey.lab, doubt=max(reading.doubt for reading in found))
    except ValueError as refusal:
        return GreyTold(None, f"not worked out: {refusal}")
    return GreyTold(share, share.words)


def with_readings(shades: QuerySet[Shade]) -> QuerySet[Shade]:
    """Fetches what photos read of each shade, without the marks and counts of each reading."""
    return shades.prefetch_related(Prefetch("readings", ShadeReading.objects.defer("details")))


def shades_in_drawer() -> list[Shade]:
    """The shades of the units that lie in a drawer now, in two queries."""
    stocked = Unit.objects.in_drawer().values("variant__shade")
    return list(with_readings(Shade.objects.filter(pk__in=stocked)))


def _ways_to(scales: set[str]) -> tuple[dict[tuple[str, str], CrossReading], tuple[str, ...]]:
    """The ways from every other scale to these, learnt from all shades read on both, and a sentence for each refused.

    Nothing leads to the instrument's scale while every shade of the ring was measured by it.
    """
    if not scales:
        return {}, ()
    ring = with_readings(Shade.objects.filter(pk__in=ShadeReading.objects.values("shade")).order_by("pk"))
    colours = [shade.colours() for shade in ring]
    ways, refused = {}, []
    for to in sorted(scales):
        if to == INSTRUMENT and all(INSTRUMENT in of_shade for of_shade in colours):
            continue
        for come_from in sorted({INSTRUMENT}.union(*colours) - {to}):
            both = [of_shade for of_shade in colours if come_from in of_shade and to in of_shade]
            try:
                ways[come_from, to] = cross_reading(_labs(both, come_from), _labs(both, to))
            except ValueError as refusal:
                way = f"from {scale_in_words(come_from)} to {scale_in_words(to)}"
                refused.append(f"Nothing leads {way}. {refusal}")
    return ways, tuple(refused)


def _labs(colours: Sequence[Mapping[str, Mapping[str, Sequence[float]]]], scale: str) -> Array:
    """Shape (n, 3 zones, 3)."""
    labs = [[of_shade[scale][zone] for zone in ZONES] for of_shade in colours]
    return np.array(labs, dtype=np.float64).reshape(len(colours), len(ZONES), 3)


def _by_scale(shades: Sequence[Shade]) -> tuple[dict[str, Array], dict[str, Array]]:
    """Colours (n, 3, 3) and doubts (n,) of the shades on every scale on which one was measured, NaN where not."""
    colours = [shade.colours() for shade in shades]
    labs = {scale: np.full((len(shades), len(ZONES), 3), np.nan) for scale in {INSTRUMENT}.union(*colours)}
    doubts = {scale: np.full(len(shades), np.nan) for scale in labs}
    for place, (shade, by_scale) in enumerate(zip(shades, colours, strict=True)):
        for scale, of_shade in by_scale.items():
            labs[scale][place] = [of_shade[zone] for zone in ZONES]
        for scale, reading in shade.newest_readings().items():
            doubts[scale][place] = reading.doubt
    return labs, doubts
