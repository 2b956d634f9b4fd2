"""Which of the salon's measured shades come nearest to hair that was read from a photo, before anything is kept.

Only shades that were read the same way are asked, so nothing is carried over from another way of reading; every zone
that was read counts alike. The candidates of a visit are compared more closely (`fittings.comparing_colours`).
"""

from __future__ import annotations

from dataclasses import dataclass

from clients.models import ColourReading
from fittings.comparing_colours import METHODS, OwnColours, Seen, with_readings
from fittings.models import HouseRule
from pieces.models import Shade
from salon.colour.bands import BandLimits
from salon.colour.cross_reading import scale_in_words
from salon.colour.matching import ZONES, Match, Reading, ZoneWeights, ranked

NEAREST = 5


@dataclass(frozen=True)
class NearShade:
    """One shade beside her hair: the colours that were compared, and each zone's difference in ΔE00."""

    shade: Shade
    match: Match
    zones: tuple[tuple[str, tuple[float, float, float], float], ...]


@dataclass(frozen=True)
class NearestShades:
    """The nearest of the shades that were read the same way as her hair; `asked` says how many those are."""

    shades: tuple[NearShade, ...]
    asked: int
    way: str


def nearest_shades(readings: list[ColourReading]) -> NearestShades | None:
    """readings: of one way of reading. None where no zone was read, but a strand alone."""
    zones = {
        row.zone: Reading(row.lab, row.doubt, METHODS[row.method], row.scale) for row in readings if row.zone in ZONES
    }
    if not zones:
        return None
    scale = next(iter(zones.values())).scale
    shades = with_readings(Shade.objects.select_related("maker"))
    ring = [shade for shade in shades if scale in shade.colours()]
    matches = OwnColours(zones, {}, (), None).matched(ring, _alike()) if ring else ()
    near = [NearShade(ring[place], matches[place], _zones(matches[place])) for place in ranked(matches)[:NEAREST]]
    return NearestShades(tuple(near), len(ring), scale_in_words(scale))


def _alike() -> Seen:
    numbers = HouseRule.objects.current()
    limits = BandLimits(numbers["band_disappears"], numbers["band_close"], numbers["band_shows"])
    return Seen(ZoneWeights(1.0, 1.0, 1.0), limits, 0)


def _zones(match: Match) -> tuple[tuple[str, tuple[float, float, float], float], ...]:
    labels = dict(ColourReading.Zone.choices)
    return tuple((str(labels[zone]), match.colours[zone], apart) for zone, apart in match.differences.items())
