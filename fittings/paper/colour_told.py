"""Her own hair and the shade of a piece side by side, with the numbers, for the client's paper.

The differences are those frozen when the piece was chosen to try; the swatches show the two measured colours.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from clients.models import ColourReading
from pieces.models import Shade
from salon.colour.bands import Band
from salon.colour.lab import css_hex

NOT_MEASURED = "not measured"
NOT_COMPARED = "not compared"


@dataclass(frozen=True)
class Swatch:
    """A colour to look at and its L*, a*, b*; `hex` is empty where nothing was measured."""

    hex: str
    words: str


@dataclass(frozen=True)
class ColourRow:
    """One zone of the hair: her own, the piece's, and how far apart they are in ΔE00."""

    zone: str
    own: Swatch
    shade: Swatch
    difference: str


@dataclass(frozen=True)
class ColourTold:
    """The comparison of one piece. `verdict` is the weighted difference with its band, or why there is none."""

    rows: tuple[ColourRow, ...]
    verdict: str


def colour_told(kept: Mapping[str, Any], shade: Shade, readings: Iterable[ColourReading]) -> ColourTold:
    """kept: what the candidate froze (`Candidate.colour`); readings: those of the assessment it was computed from."""
    by_zone = {reading.zone: reading for reading in readings}
    return ColourTold(
        rows=tuple(_row(zone, kept, shade, by_zone.get(zone.value)) for zone in ColourReading.Zone),
        verdict=_verdict(kept),
    )


def colours_explained(readings: Iterable[ColourReading], numbers: Mapping[str, float]) -> str:
    """How her own hair was read, how surely, and what the differences mean; empty when nothing was read."""
    ways = dict.fromkeys(_way(reading) for reading in readings)
    return f"Your own hair was read {'; '.join(ways)}. {_scale(numbers)}" if ways else ""


def _row(zone: ColourReading.Zone, kept: Mapping[str, Any], shade: Shade, reading: ColourReading | None) -> ColourRow:
    difference = kept.get("zones", {}).get(zone.value)
    return ColourRow(
        zone=str(zone.label),
        own=_swatch(reading.lab if reading else None),
        shade=_swatch(shade.lab().get(zone.value)),
        difference=NOT_COMPARED if difference is None else f"{difference:.1f}",
    )


def _swatch(lab: tuple[float, float, float] | None) -> Swatch:
    if lab is None:
        return Swatch("", NOT_MEASURED)
    return Swatch(css_hex(lab), ", ".join(f"{value:.1f}".replace("-", "−") for value in lab))


def _verdict(kept: Mapping[str, Any]) -> str:
    weighted = kept.get("weighted")
    if weighted is not None:
        doubt = f", give or take {kept['doubt']:.1f}" if kept.get("doubt") else ""
        return f"In all, where your own hair shows: {kept['band']} (ΔE00 {weighted:.1f}{doubt})."
    if kept.get("words") == NOT_MEASURED:
        return "This shade is not measured, so the colours were not compared by numbers."
    return "The colours were not compared by numbers, for your own hair was not measured where it counts."


def _way(reading: ColourReading) -> str:
    by = "by an instrument" if reading.method == ColourReading.Method.INSTRUMENT else "by eye against the shade ring"
    light = f", {reading.light.lower()}" if reading.light else ""
    return f"{by}{light} (doubt ΔE00 {reading.doubt:g})"


def _scale(numbers: Mapping[str, float]) -> str:
    limits = (numbers["band_disappears"], numbers["band_close"], numbers["band_shows"])
    named = ", ".join(f"up to {limit:g} {band.value}" for limit, band in zip(limits, Band, strict=False))
    return f"ΔE00 is how far two colours lie apart: {named}, above that {Band.ANOTHER.value} (the salon's own limits)."
