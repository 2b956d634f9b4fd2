"""Brings a picture's pixels, in whatever mode and colour space they were sent, to plain sRGB.

An embedded ICC profile is followed, relative colorimetric: what is measured from a photo must not be shifted to make
room for colours it does not hold. Where colours are named by number instead (HEIC, PNG), they are ITU-T H.273's. A
profile that can't be read, or that belongs to another kind of picture, counts as sRGB, which nearly all photos are.

Sources: IEC 61966-2-1 (sRGB), ITU-T H.273 (the numbers and the primaries, from memory).
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

WHITE = 255

# Chromaticities x, y of red, green, blue by their number in H.273; all under D65
_D65 = (0.3127, 0.3290)
_SRGB = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
_WIDER = {
    9: ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),  # BT.2020
    12: ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),  # Display P3
}
NOT_FOR_A_SCREEN = frozenset({8, 16, 18})  # transfer: linear light, PQ, HLG; in 8 bits of sRGB they mean other colours


def in_eight_bits(picture: Image.Image) -> Image.Image:
    """The same picture in one of L, LA, RGB, RGBA and CMYK, which can be resized without harm."""
    if picture.mode in {"I", "I;16", "I;16B", "I;16L"}:
        sixteen = np.asarray(picture)
        return Image.fromarray((np.clip(sixteen, 0, 65_535) >> 8).astype(np.uint8))
    if "transparency" in picture.info:
        return picture.convert("RGBA")
    if picture.mode in {"L", "LA", "RGB", "RGBA", "CMYK"}:
        return picture
    return picture.convert({"1": "L", "La": "LA", "PA": "RGBA", "RGBa": "RGBA"}.get(picture.mode, "RGB"))


def on_white(picture: Image.Image) -> Image.Image:
    """Without transparency: what shows through is white."""
    if picture.mode not in {"LA", "RGBA"}:
        return picture
    plain = picture.mode.removesuffix("A")
    behind = Image.new(plain, picture.size, "white")
    behind.paste(picture.convert(plain), mask=picture.getchannel("A"))
    return behind


def to_srgb(picture: Image.Image, *, profile: bytes | None, primaries: int | None) -> Image.Image:
    """RGB in sRGB, from L, RGB or CMYK in the profile, or else in the primaries of that number."""
    if profile and (converted := _by_profile(picture, profile)) is not None:
        return converted
    picture = picture.convert("RGB")
    if not profile and primaries in _WIDER:
        return _from_primaries(picture, _WIDER[primaries])
    return picture


def _by_profile(picture: Image.Image, profile: bytes) -> Image.Image | None:
    from PIL import ImageCms  # here, because every command would wait for it at its start

    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        if source.profile.xcolor_space.strip() != {"L": "GRAY"}.get(picture.mode, picture.mode):
            return None
        return ImageCms.profileToProfile(
            picture,
            source,
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None


def _from_primaries(picture: Image.Image, primaries: Any) -> Image.Image:
    """Linear light from one set of primaries to sRGB's; both share their white and their tone curve."""
    matrix = (np.linalg.inv(_to_xyz(_SRGB)) @ _to_xyz(primaries)).astype(np.float32)
    encoded = np.arange(256) / 255
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4).astype(np.float32)
    pixels = np.asarray(picture)
    converted = np.empty_like(pixels)
    for row, line in enumerate(pixels):  # row by row, so that no picture stands in memory as floats
        light = np.clip(linear[line] @ matrix.T, 0, 1)
        code = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
        converted[row] = np.rint(code * 255)
    return Image.fromarray(converted)


def _to_xyz(primaries: Any) -> NDArray[np.float64]:
    """The matrix from linear RGB to XYZ, from chromaticities (SMPTE RP 177)."""
    columns = np.array([(x / y, 1, (1 - x - y) / y) for x, y in primaries]).T
    x, y = _D65
    return columns * np.linalg.solve(columns, np.array([x / y, 1, (1 - x - y) / y]))
