"""What the marks on a client's photo read, ready to be kept; and the marks from which kept readings were made.

How a colour is read is `salon.colour.reading`'s, storing it `clients.assessing`'s. A kept reading holds its own marks,
so that each zone can be read anew from the same photo without touching the others.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from clients.assessing import ReadingTaken
from clients.models import ColourReading, Photo
from salon.colour.marks import Marks, marks_to_json
from salon.colour.reading import PhotoReading, read_photo
from salon.colour.telling import PhotoTold, photo_told
from salon.common.pictures import pixels_of
from salon.models import Salon

ZONES = ColourReading.Zone
STRANDS = ColourReading.Strand
REGIONS: Mapping[str, str] = {region.value: str(region.label) for region in (*ZONES, *STRANDS)}
"""What can be marked on her hair, with its name on the page."""


@dataclass(frozen=True, slots=True)
class HairRead:
    """All that one photo's marks read, region by region as it would be kept."""

    whole: PhotoReading
    taken: Mapping[str, ReadingTaken]

    @property
    def told(self) -> PhotoTold:
        first = next(iter(self.taken.values()))
        return photo_told(first.details | {"regions": self.whole.details()["regions"]}, REGIONS)

    @property
    def rows(self) -> list[ColourReading]:
        """As rows that are not stored, for whoever compares colours."""
        return [row_of(zone, taken) for zone, taken in self.taken.items()]

    @property
    def fingerprint(self) -> str:
        """Another one as soon as a mark, a setting or the routine is another."""
        details = json.dumps([taken.details for taken in self.taken.values()], sort_keys=True)
        return hashlib.sha256(details.encode()).hexdigest()[:16]


def read_hair(photo: Photo, marks: Marks, salon: Salon) -> HairRead:
    """Read a photo of her under the salon's settings; raises ReadingRefused where it gives no reading."""
    whole = read_photo(pixels_of(photo.full), marks, **salon.for_reading_photos)
    told = whole.details()
    taken = {
        region: ReadingTaken(
            method=ColourReading.Method(whole.method),
            lab=read.lab,
            doubt=read.doubt,
            scale=whole.routine,
            photo=photo,
            details={
                **told,
                "regions": {region: told["regions"][region]},
                "marks": json.loads(marks_to_json(Marks(marks.reference, {region: marks.spots[region]}))),
                "setting": salon.setting_behind(whole.method),
            },
        )
        for region, read in whole.regions.items()
    }
    return HairRead(whole, taken)


def row_of(zone: str, taken: ReadingTaken) -> ColourReading:
    """A reading as a row of no assessment yet."""
    lightness, a_star, b_star = taken.lab
    return ColourReading(
        zone=zone,
        method=taken.method,
        lightness=lightness,
        a_star=a_star,
        b_star=b_star,
        doubt=taken.doubt,
        scale=taken.scale,
    )


def marks_kept(readings: Iterable[ColourReading], photo: Photo) -> str:
    """The marks of the readings that were kept from this photo, as JSON; empty where none was."""
    kept: list[dict[str, Any]] = [
        reading.details["marks"] for reading in readings if reading.photo_id == photo.pk and "marks" in reading.details
    ]
    if not kept:
        return ""
    spots = {region: placed for marks in kept for region, placed in marks["spots"].items()}
    return json.dumps({"reference": kept[-1]["reference"], "spots": spots})


def told_of(reading: ColourReading) -> PhotoTold:
    """A kept reading in words."""
    return photo_told(reading.details, REGIONS)
