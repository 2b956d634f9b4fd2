"""The shade ring as it stands beside her hair: every shade that was measured in any way, with the colour it is told by.

A shade can be measured by the instrument and by photos. Colours of different ways of reading are not comparable, so the
ring takes the way that most of its shades were read in, and falls back on another for the rest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from fittings.comparing_colours import with_readings
from pieces.models import Shade
from pieces.models.shade import INSTRUMENT
from salon.colour.cross_reading import scale_in_words

Lab = tuple[float, float, float]


@dataclass(frozen=True)
class RingShade:
    """One shade with its colour at root, mid and ends, and the scale those stand on."""

    shade: Shade
    scale: str
    lab: Mapping[str, Lab]
    is_of_most: bool

    @property
    def label(self) -> str:
        """What a reading by eye remembers of the shade."""
        return f"{self.shade} ({self.shade.maker})"[:80]

    @property
    def read_otherwise(self) -> str:
        """How it was measured, where most of the ring was measured another way; else empty."""
        return "" if self.is_of_most else f"by {scale_in_words(self.scale)}"


def shade_ring() -> list[RingShade]:
    """Dark to light; those measured another way than most come after the others. Two queries."""
    shades = with_readings(Shade.objects.select_related("maker"))
    coloured = [(shade, colours) for shade in shades if (colours := shade.colours())]
    counts = Counter(scale for _, colours in coloured for scale in colours)
    scales = sorted(counts, key=lambda scale: (-counts[scale], scale != INSTRUMENT, scale))
    ring = [_told_by(shade, colours, scales) for shade, colours in coloured]
    return sorted(ring, key=lambda one: (scales.index(one.scale), one.lab["mid"][0], one.shade.code, one.shade.pk))


def _told_by(shade: Shade, colours: Mapping[str, Mapping[str, Lab]], scales: list[str]) -> RingShade:
    scale = next(scale for scale in scales if scale in colours)
    return RingShade(shade, scale, colours[scale], is_of_most=scale == scales[0])
