"""What the marks on a ring photo read of each shade in it; stores nothing.

A photo holds either one shade, read at root, mid-length and ends, or a row of swatches, each read as one colour that
counts for all three zones. Leaves the colours themselves to `salon.colour.reading`, and what was read before to
`comparing`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pieces.models import Shade
from salon.colour.difference import ciede2000
from salon.colour.marks import Marks, marks_to_json
from salon.colour.reading import PhotoReading, ReadingRefused, RegionRead, read_photo
from salon.colour.regions import Codes
from salon.colour.telling import PhotoTold, photo_told
from salon.models import Salon

ZONES = {"root": "Roots", "mid": "Mid-length", "ends": "Ends"}
MOST_SWATCHES = 12
RUNS_FROM = 4.0  # ΔE00 between two zones: the house rule's end of “close”, past which one colour can't stand for both


@dataclass(frozen=True, slots=True)
class Pictured:
    """Which shades a photo shows: one of them, or a row in order."""

    shades: tuple[Shade, ...]
    is_row: bool

    @property
    def regions(self) -> dict[str, str]:
        """What is to be marked: {key of the region: its name on the page}."""
        if not self.is_row:
            return ZONES
        return {_key(shade): f"S{number} {shade.code}" for number, shade in enumerate(self.shades, start=1)}

    def regions_of(self, shade: Shade) -> dict[str, str]:
        """{zone: key of the region that is marked for it}."""
        return {zone: _key(shade) if self.is_row else zone for zone in ZONES}

    @property
    def running(self) -> list[Shade]:
        """Shades of a row whose colour runs from root to ends, as the instrument saw it."""
        return [shade for shade in self.shades if self.is_row and _runs(shade)]


@dataclass(frozen=True, slots=True)
class ShadeRead:
    """One shade as a photo reads it: by zone (root, mid, ends), with all that a stored reading keeps."""

    shade: Shade
    method: str
    routine: str
    zones: Mapping[str, RegionRead]
    details: dict[str, Any]

    @property
    def doubt(self) -> float:
        """The largest of the zones."""
        return max(read.doubt for read in self.zones.values())

    @property
    def lab(self) -> dict[str, tuple[float, float, float]]:
        return {zone: read.lab for zone, read in self.zones.items()}

    @property
    def stands_on(self) -> tuple[Any, ...]:
        return what_it_stands_on(self.routine, self.details)


@dataclass(frozen=True, slots=True)
class RingRead:
    """All that one photo's marks read: shade by shade, and told as one."""

    shades: tuple[ShadeRead, ...]
    told: PhotoTold

    @property
    def fingerprint(self) -> str:
        """Another one as soon as a mark, a setting or the routine is another."""
        told = json.dumps([(read.shade.pk, read.stands_on) for read in self.shades], sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()[:32]


def what_it_stands_on(routine: str, details: Mapping[str, Any]) -> tuple[Any, ...]:
    """What decides a reading of one photo: two that stand on the same are the same."""
    return routine, details.get("marks"), details.get("setting")


def read_shades(pictured: Pictured, *, pixels: Codes, marks: Marks, salon: Salon) -> RingRead:
    """Read every shade of a photo; all of them or none. Pixels are sRGB, (h, w, 3).

    Raises ReadingRefused for a photo or a mark that can't be read, and for a region that nobody marked.
    """
    _refuse_unmarked(pictured, marks)
    names = {key: key if key in ZONES else name for key, name in pictured.regions.items()}  # as refusals name them
    whole = read_photo(
        pixels,
        Marks(marks.reference, {names[key]: spots for key, spots in marks.spots.items()}),
        **salon.for_reading_photos,
    )
    details = whole.details() | {
        "setting": salon.setting_behind(whole.method),
        "one_colour": pictured.is_row,
    }
    return RingRead(
        shades=tuple(_shade_read(pictured, shade, marks, whole, details, names) for shade in pictured.shades),
        told=photo_told(details, {names[key]: name for key, name in pictured.regions.items()}),
    )


def _refuse_unmarked(pictured: Pictured, marks: Marks) -> None:
    if marks.reference is None:
        return  # what is wrong then is told by the routine
    unmarked = [name for key, name in pictured.regions.items() if not marks.spots.get(key)]
    if not unmarked:
        return
    if pictured.is_row:
        says, instead = "no spot yet on {}.", "Mark every swatch of the row, or choose a row without it."
    else:
        says, instead = "no spot yet on the {}.", "A shade is read at roots, mid-length and ends: mark all three."
        unmarked = [name.lower() for name in unmarked]
    raise ReadingRefused("photo", f"There is {says.format(' and '.join(unmarked))}", instead)


def _shade_read(
    pictured: Pictured,
    shade: Shade,
    marks: Marks,
    whole: PhotoReading,
    details: Mapping[str, Any],
    names: Mapping[str, str],
) -> ShadeRead:
    keys = pictured.regions_of(shade)
    own_marks = Marks(marks.reference, {key: marks.spots[key] for key in keys.values()})
    return ShadeRead(
        shade=shade,
        method=whole.method,
        routine=whole.routine,
        zones={zone: whole.regions[names[key]] for zone, key in keys.items()},
        details={
            **details,
            "regions": {zone: details["regions"][names[key]] for zone, key in keys.items()},
            "marks": json.loads(marks_to_json(own_marks)),
        },
    )


def _runs(shade: Shade) -> bool:
    lab = shade.lab()
    return bool(lab) and float(ciede2000([lab["root"]], [lab["mid"], lab["ends"]]).max()) > RUNS_FROM


def _key(shade: Shade) -> str:
    return f"shade-{shade.pk}"
