"""Takes a picture in: what a phone or tablet sends becomes three clean JPEGs, or a sentence that says why not.

Whatever comes in is drawn anew from its pixels: upright, in sRGB, on white, in three sizes, without a place, a device,
a date, a thumbnail or any other field. What a file holds besides its picture is for `salon.common.picture_containers`
to see, what its colours mean for `salon.common.picture_colours`, where the three lie for
`salon.common.stored_pictures`.

Pillow opens some sixty formats, PostScript among them. Here it is asked for the one format that the file was found to
be in, for the picture's own bytes alone, and only after the size the file announces was looked at.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import BinaryIO

import numpy as np
from django.core.exceptions import ValidationError
from django.db.models.fields.files import FieldFile
from numpy.typing import NDArray
from PIL import Image, ImageFile

from salon.common.picture_colours import NOT_FOR_A_SCREEN, in_eight_bits, on_white, to_srgb
from salon.common.picture_containers import (
    BrokenError,
    Container,
    CutShortError,
    Kind,
    foreign_in,
    name_of,
    read_container,
)

LARGEST_BYTES = 25_000_000
MOST_PIXELS = 40e6
FULL_PX, PAGE_PX, THUMB_PX = 2400, 1200, 320  # the longer side

# The full size is what colours are measured from: colour at every pixel, and little lost to compression
_FULL_QUALITY = (92, "4:4:4")
_PAGE_QUALITY = (88, "4:2:0")
_THUMB_QUALITY = (82, "4:2:0")

_PILLOW_NAMES: dict[Kind, str] = {"JPEG": "JPEG", "PNG": "PNG", "WEBP": "WEBP", "HEIC": "HEIF"}
_ORIENTATION = 0x0112  # the EXIF field that says how the camera was held
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

_TAKEN = "JPEG, PNG, WebP and HEIC are taken in"
_EMPTY = "This file is empty: something went wrong on its way. Send it again."
_TOO_LARGE = "This file has {} MB; up to 25 are taken in. Set the camera to a smaller picture and take it again."
_TOO_MANY_PIXELS = (
    "This picture has {:.1f} megapixels; up to 40 are taken in. Set the camera to a smaller picture and take it again."
)
_NO_PICTURE = f"This is not a picture: {_TAKEN}."
_ANOTHER_FILE = f"This is {{}}, not a photo: {_TAKEN}."
_TWO_THINGS = "This file is a picture and {} in one; only a plain picture is taken in. Take the photo again."
_MOVES = "This picture moves; a still photo is needed."
_CUT_SHORT = "This picture ends too early: part of it was lost on its way. Send it again."
_DAMAGED = "This picture is damaged and can't be opened. Take the photo again."
_HDR = "This picture is in HDR, whose colours can't be read here. Turn HDR off in the camera and take it again."


class PictureRefused(ValidationError):  # noqa: N818  # what happened is the name, as in the sentence
    """Why this file is not taken in, in a sentence that says what would be right."""


@dataclass(frozen=True)
class Renditions:
    """One picture as three JPEGs; width and height are the full size's, in pixels."""

    full: bytes
    page: bytes
    thumb: bytes
    width: int
    height: int
    taken_from: Kind


def take_in(file: BinaryIO, *, size: int) -> Renditions:
    """The picture in three sizes; a smaller one is not enlarged. For any bytes raises PictureRefused and nothing else.

    size: what the sender says the file holds, in bytes, so that one too large is not even read.
    """
    if size > LARGEST_BYTES:
        raise PictureRefused(_TOO_LARGE.format(_whole_mb(size)))
    file.seek(0)
    data = file.read(LARGEST_BYTES + 1)
    if len(data) > LARGEST_BYTES:
        raise PictureRefused(_TOO_LARGE.format("over 25"))
    # the library that prints lets damaged pictures by, for the whole process, from the moment it is first imported
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    container = _container(data)
    full = _drawn_anew(data, container)
    page = _within(full, PAGE_PX)
    return Renditions(
        full=_jpeg(full, *_FULL_QUALITY),
        page=_jpeg(page, *_PAGE_QUALITY),
        thumb=_jpeg(_within(page, THUMB_PX), *_THUMB_QUALITY),
        width=full.width,
        height=full.height,
        taken_from=container.kind,
    )


def pixels_of(file: FieldFile) -> NDArray[np.uint8]:
    """The pixels of a stored rendition: shape (h, w, 3), sRGB of 8 bits. Raises FileNotFoundError when it is gone."""
    with file.open("rb") as stored, Image.open(stored, formats=["JPEG"]) as picture:
        return np.array(picture, dtype=np.uint8)


def _whole_mb(size: int) -> int:
    return -(-size // 1_000_000)  # upwards: 25.1 MB are not "25; up to 25 are taken in"


def _container(data: bytes) -> Container:
    """What the file says it holds, with all that can be refused before anything is decoded."""
    if not data:
        raise PictureRefused(_EMPTY)
    try:
        container = read_container(data)
    except CutShortError as cut:
        raise PictureRefused(_CUT_SHORT) from cut
    except BrokenError as broken:
        raise PictureRefused(_DAMAGED) from broken
    if container is None:
        other = name_of(data)
        raise PictureRefused(_ANOTHER_FILE.format(other) if other else _NO_PICTURE)
    if foreign := foreign_in(data, container):
        raise PictureRefused(_TWO_THINGS.format(foreign))
    if container.moves:
        raise PictureRefused(_MOVES)
    _refuse_too_many(container.pixels)
    return container


def _refuse_too_many(pixels: int) -> None:
    if pixels > MOST_PIXELS:
        raise PictureRefused(_TOO_MANY_PIXELS.format(pixels / 1e6))


def _drawn_anew(data: bytes, container: Container) -> Image.Image:
    """The full size, upright, in sRGB, holding nothing but its pixels."""
    _ready_decoders()
    try:
        sent = Image.open(BytesIO(data[: container.end]), formats=[_PILLOW_NAMES[container.kind]])
        _refuse_too_many(sent.width * sent.height)
        primaries, transfer = _coding(sent, container)
        if transfer in NOT_FOR_A_SCREEN:
            raise PictureRefused(_HDR)
        if container.kind == "JPEG":  # decodes at a half where that is still larger than what is kept
            sent.draft(None, _size_within(sent.size, FULL_PX))
        sent.load()
        picture = _within(in_eight_bits(sent), FULL_PX)  # smaller first: the rest then asks for less memory
        if (turn := _turn(sent, container)) is not None:
            picture = picture.transpose(turn)
        picture = to_srgb(on_white(picture), profile=sent.info.get("icc_profile"), primaries=primaries)
    except PictureRefused:
        raise
    except Exception as damaged:  # decoders raise whatever comes: OSError, SyntaxError, struct.error, RuntimeError …
        raise PictureRefused(_DAMAGED) from damaged
    picture.info = {}  # Pillow would write a comment it finds there
    return picture


@cache
def _ready_decoders() -> None:
    """Once in a process: HEIC made known to Pillow, and more pixels than it thinks safe an error, not a warning."""
    import pillow_heif
    from PIL import WebPImagePlugin  # noqa: F401  # else Pillow imports all sixty formats when it is first asked for it

    pillow_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False, decode_threads=2)
    warnings.filterwarnings("error", category=Image.DecompressionBombWarning)


def _coding(picture: Image.Image, container: Container) -> tuple[int | None, int | None]:
    """Colour primaries and transfer by their numbers in H.273, where the file gives colours so."""
    if container.coding:
        return container.coding
    named = picture.info.get("nclx_profile") or {}
    return named.get("color_primaries"), named.get("transfer_characteristics")


def _turn(picture: Image.Image, container: Container) -> Image.Transpose | None:
    """How to set it upright; a HEIC's decoder has done so, and its EXIF counts for nothing (ISO/IEC 23008-12)."""
    if container.kind == "HEIC":
        return None
    try:
        return _UPRIGHT.get(picture.getexif().get(_ORIENTATION, 1))
    except Exception:  # fields that can't be read are no reason to refuse a picture that can
        return None


def _size_within(size: tuple[int, int], longer: int) -> tuple[int, int]:
    share = min(1, longer / max(size))
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _within(picture: Image.Image, longer: int) -> Image.Image:
    size = _size_within(picture.size, longer)
    return picture if size == picture.size else picture.resize(size, Image.Resampling.LANCZOS)


def _jpeg(picture: Image.Image, quality: int, subsampling: str) -> bytes:
    written = BytesIO()
    picture.save(written, "JPEG", quality=quality, subsampling=subsampling)
    return written.getvalue()
