"""Reads part of the demo salon's shade ring from photos, so that hair read by the chart finds shades read by it too."""

from __future__ import annotations

import io
import uuid
from datetime import datetime, timedelta

from pieces.models import RingPhoto, Shade
from pieces.ring.keeping import keep_shade_readings
from pieces.ring.reading import Pictured, read_shades
from pieces.ring.taking import take_ring_photo
from salon.common.pictures import pixels_of
from salon.demo.drawn_colours import ColourPhoto, hair_photo, row_photo
from salon.models import Salon, User

ROWS = (
    ("loam", "walnut-husk", "chestnut-burr", "tilth", "fallow", "moss-bark"),
    ("cobnut", "acorn", "medlar", "beech-mast", "slate-rain", "flint"),
)
ALONE = ("hazel-bark", "hay-over-acorn")  # read at root, mid-length and ends
BETWEEN_PHOTOS = timedelta(minutes=6)


def read_ring(salon: Salon, *, by: User, at: datetime) -> None:
    """One photo after the other: the rows, then what has one of its own."""
    shades = {shade.code: shade for shade in Shade.objects.measured()}
    edition = salon.for_reading_photos["edition"]
    pictured = [Pictured(tuple(shades[code] for code in row), is_row=True) for row in ROWS]
    pictured += [Pictured((shades[code],), is_row=False) for code in ALONE]
    for number, one in enumerate(pictured):
        if one.is_row:
            colours = {key: shade.lab()["mid"] for key, shade in zip(one.regions, one.shades, strict=True)}
            drawn = row_photo(colours, edition=edition, seed=number)
        else:
            drawn = hair_photo(one.shades[0].lab(), edition=edition, seed=number)
        _read(one, drawn, salon, by=by, at=at + number * BETWEEN_PHOTOS)


def _read(pictured: Pictured, drawn: ColourPhoto, salon: Salon, *, by: User, at: datetime) -> None:
    photo = _take(drawn.jpeg, by=by, at=at)
    read = read_shades(pictured, pixels=pixels_of(photo.full), marks=drawn.marks, salon=salon)
    kept_at = at + timedelta(minutes=2)
    keep_shade_readings(photo=photo, read={one.shade: one for one in read.shades}, by=by, at=kept_at)


def _take(jpeg: bytes, *, by: User, at: datetime) -> RingPhoto:
    return take_ring_photo(file=io.BytesIO(jpeg), size=len(jpeg), upload_key=uuid.uuid4(), by=by, at=at)
