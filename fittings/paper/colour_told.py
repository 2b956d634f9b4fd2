"""Her own hair and the shade of a piece side by side, with the numbers, for the client's paper.

The differences are those frozen when the piece was chosen to try, and the swatches show the colours that were compared:
both on the scale on which her own hair was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clients.models import ColourReading
from pieces.models import Shade
from salon.colour.bands import Band
from salon.colour.lab import css_hex
from salon.colour.matching import NOT_MEASURED, NOT_THAT_WAY

NOT_COMPARED = "not compared"
_WAYS = {
    ColourReading.Method.INSTRUMENT: "by an instrument",
    ColourReading.Method.BY_EYE: "by eye against the shade ring",
    ColourReading.Method.CARD: "from a photo with the grey card",
    ColourReading.Method.CHART: "from a photo with the chart",
}


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
    """The comparison of one piece. `verdict` is the weighted difference with its band, or why there is none; `crossed`
    says how the shade came onto the scale of her hair, where it was not read that way."""

    rows: tuple[ColourRow, ...]
    verdict: str
    crossed: str


def colour_told(kept: Mapping[str, Any], shade: Shade, readings: Iterable[ColourReading]) -> ColourTold:
    """kept: what the candidate froze (`Candidate.colour`); readings: those of the assessment it was computed from."""
    by_zone = {reading.zone: reading for reading in readings}
    return ColourTold(
        rows=tuple(_row(zone, kept, shade, by_zone.get(zone.value)) for zone in ColourReading.Zone),
        verdict=_verdict(kept),
        crossed=f"The shade's colour was {kept['crossed']}." if kept.get("crossed") else "",
    )


def colours_explained(kept: Mapping[str, Any], readings: Iterable[ColourReading], numbers: Mapping[str, float]) -> str:
    """How her own hair was read, how surely, its share of grey, and what the differences mean; empty when nothing was
    read. kept: as in `colour_told`."""
    doubts: dict[str, list[float]] = {}
    for reading in readings:
        if reading.zone in ColourReading.Zone.values:
            doubts.setdefault(_way(reading), []).append(reading.doubt)
    if not doubts:
        return ""
    ways = "; ".join(f"{way} (give or take ΔE00 {_from_to(of_way)})" for way, of_way in doubts.items())
    grey = kept.get("grey") or {}
    share = f" Measured at the roots, it is {grey['words']}." if "share" in grey else ""
    return f"Your own hair was read {ways}.{share} {_bands(numbers)}"


def _row(zone: ColourReading.Zone, kept: Mapping[str, Any], shade: Shade, reading: ColourReading | None) -> ColourRow:
    difference = kept.get("zones", {}).get(zone.value)
    return ColourRow(
        zone=str(zone.label),
        own=_swatch(reading.lab if reading else None),
        shade=_swatch(_shade_at(zone, kept, shade, reading)),
        difference=NOT_COMPARED if difference is None else f"{difference:.1f}",
    )


def _shade_at(
    zone: ColourReading.Zone, kept: Mapping[str, Any], shade: Shade, reading: ColourReading | None
) -> Sequence[float] | None:
    """The shade's colour as it was compared; where nothing of hers was read, or before scales were kept, its own."""
    compared: Mapping[str, Sequence[float]] | None = kept.get("colours")
    if compared is None or reading is None:
        return shade.lab().get(zone.value)
    return compared.get(zone.value)


def _swatch(lab: Sequence[float] | None) -> Swatch:
    if lab is None:
        return Swatch("", NOT_MEASURED)
    return Swatch(css_hex(lab), ", ".join(f"{value:.1f}".replace("-", "−") for value in lab))


def _verdict(kept: Mapping[str, Any]) -> str:
    weighted = kept.get("weighted")
    if weighted is not None:
        doubt = f", give or take {kept['doubt']:.1f}" if kept.get("doubt") else ""
        return f"In all, where your own hair shows: {kept['band']} (ΔE00 {weighted:.1f}{doubt})."
    if kept.get("words") in (NOT_MEASURED, NOT_THAT_WAY):
        how = "" if kept["words"] == NOT_MEASURED else " the way your own hair was read"
        return f"This shade is not measured{how}, so the colours were not compared by numbers."
    return "The colours were not compared by numbers, for your own hair was not measured where it counts."


def _way(reading: ColourReading) -> str:
    by = _WAYS[ColourReading.Method(reading.method)]
    light = f", {reading.light.lower()}" if reading.light else ""
    return f"{by}{light}"


def _from_to(doubts: Sequence[float]) -> str:
    low, high = (f"{round(doubt, 1):g}" for doubt in (min(doubts), max(doubts)))
    return low if low == high else f"{low} to {high}"


def _bands(numbers: Mapping[str, float]) -> str:
    limits = (numbers["band_disappears"], numbers["band_close"], numbers["band_shows"])
    named = ", ".join(f"up to {limit:g} {band.value}" for limit, band in zip(limits, Band, strict=False))
    limits_are = f"{named}, above that {Band.ANOTHER.value} (the salon's own limits)"
    return f"ΔE00 is how far two colours lie apart. With what is given or taken counted in: {limits_are}."
