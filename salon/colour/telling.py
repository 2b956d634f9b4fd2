"""What a photo read, in words and numbers for a screen: each region's colour with its doubt and spread, and how camera
and lamp were undone.

Tells what `reading.PhotoReading.details` holds, so that a reading kept long ago is told like one made just now. CIELAB
under D65, 2° observer; differences in ΔE00.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class RegionTold:
    """One region. colour and doubt are for the first look, spread for those who want to know on what they stand."""

    key: str
    name: str
    lab: tuple[float, float, float]
    colour: str
    doubt: str
    spread: str


@dataclass(frozen=True, slots=True)
class PhotoTold:
    """All regions in the order of their names, and in one sentence what they were read by."""

    regions: tuple[RegionTold, ...]
    by: str


def photo_told(details: Mapping[str, Any], names: Mapping[str, str]) -> PhotoTold:
    """details: of one photo's reading, or of the part of it that was kept. names: of the regions, in order; those that
    were not read are left out."""
    read = details["regions"]
    regions = tuple(_region(key, name, read[key]) for key, name in names.items() if key in read)
    return PhotoTold(regions, _correction_words(details))


def lab_words(lab: tuple[float, float, float]) -> str:
    """“L* 24.1, a* 5.2, b* −1.0”, each name held together with its number."""
    lightness, a, b = (f"{value:.1f}".replace("-", "−") for value in lab)
    return f"L*\N{NO-BREAK SPACE}{lightness}, a*\N{NO-BREAK SPACE}{a}, b*\N{NO-BREAK SPACE}{b}"


def _region(key: str, name: str, read: Mapping[str, Any]) -> RegionTold:
    lightness, a, b = read["lab"]
    lab = (float(lightness), float(a), float(b))
    return RegionTold(key, name, lab, lab_words(lab), f"give or take {read['doubt']:.1f}", _spread_words(read))


def _spread_words(read: Mapping[str, Any]) -> str:
    count, between = read["spots"], read["spread_between"]
    spots = "one spot" if count == 1 else f"{count} spots"
    apart = "" if between is None else f", up to {between:.1f} apart"
    return f"{spots}{apart}; {read['n']:,} samples, nine in ten within {read['spread_within']:.1f} of it"


def _correction_words(details: Mapping[str, Any]) -> str:
    told, setting = details["correction"], details.get("setting", {})
    if details["method"] == "card":
        percent = setting.get("card_reflectance_percent")
        reflects = f", which reflects {percent:g} %" if percent else ""
        return f"Read by the grey card{reflects} ({details['routine']})."
    return (
        f"Read by the chart ({details['routine']}): {told['kind']}, tone curve {told['exponent']:.2f}. Its "
        f"{told['patches_used']} usable patches lay ΔE00 {told['residual_before']:.1f} from what they should be as "
        f"photographed, and {told['residual_after']:.1f} once corrected."
    )
