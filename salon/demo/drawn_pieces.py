"""Draws the hair of the demo's pieces: one shade on a stand, seen from behind, and a lock of every other beside it.

Drawings that look drawn, not photos. All are at one scale, so that in a list long hair is longer than short. Hair
falls from the crown over a dome and straight down; a strand is told by its share of the way from one side to the other.
Wavy hair hangs shorter than it is long, coils much shorter (common practice; how much is ours).

Millimetres, x to the right and y down from the upper left corner; light is sRGB from 0 to 255.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from salon.colour.lab import srgb_from_lab

Floats = NDArray[np.float32]
Lab = tuple[float, float, float]

WIDTH = HEIGHT = 490  # square, as the page of a piece shows pictures
PAPER: Final = (239, 237, 233)  # light by day and night, as behind the locks of the ring, or dark hair would vanish
MOST_LOCKS: Final = 5  # beside the stand
JPEG_QUALITY: Final = 88

_PX: Final = 0.9  # a millimetre
_STAND, _STAND_EDGE = (221, 215, 207), (190, 182, 172)
_TOP: Final = 30.0
_MIDDLE: Final = 182.0  # of the stand
_LOCKS_FROM, _LOCK_PITCH = 344.0, 35.0
_STRANDS: Final = 150
_ZONES: Final = ("root", "mid", "ends")


@dataclass(frozen=True)
class Fall:
    """How hair of one texture falls: how far it swings to a side and over how many millimetres it comes back, how much
    wider it grows, and how far down it hangs as a share of its length."""

    swing: float
    turn: float
    wider: float
    hangs: float


FALLS: Final = {
    "straight": Fall(0.0, 100.0, 0.04, 1.0),
    "wavy": Fall(5.0, 88.0, 0.14, 0.94),
    "curly": Fall(6.0, 42.0, 0.26, 0.82),
    "coily": Fall(4.5, 19.0, 0.34, 0.66),
}
FULLNESS: Final = {"light": 5.0, "medium": 11.0, "full": 18.0}  # how far the hair stands off the stand


@dataclass(frozen=True)
class _Bundle:
    """Hair that hangs together: where its top is, how wide it is, how it rounds at the top, how far down it reaches."""

    middle: float
    top: float
    half: float
    dome: float
    drop: float
    locks: int


def hair_drawing(
    shades: Sequence[Mapping[str, Lab]], *, length_mm: float, texture: str, density: str, seed: int
) -> bytes:
    """The JPEG of a piece in these shades (each by zone: root, mid, ends), the first of them on the stand."""
    first, *others = shades
    fall, off, lottery = FALLS[texture], FULLNESS[density], np.random.default_rng(seed)
    aside = (MOST_LOCKS - min(len(others), MOST_LOCKS)) * _LOCK_PITCH / 2  # the fewer locks, the nearer to the middle
    picture = np.roll(_stand(), round(aside * _PX), axis=1)
    reach = max((length_mm - 30) * fall.hangs, 90.0)  # the first of it lies from the crown backwards
    on_stand = _Bundle(_MIDDLE + aside, _TOP - off / 2, 72.0 + off, 88.0 + off / 2, reach + off / 2, locks=13)
    _lay(picture, on_stand, _down(first), fall, lottery)
    for number, shade in enumerate(others[:MOST_LOCKS]):
        middle = _LOCKS_FROM + aside + number * _LOCK_PITCH
        lock = _Bundle(middle, _TOP + 8, 11.5, 26.0, length_mm * fall.hangs, locks=2)
        _lay(picture, lock, _down(shade), fall, lottery)
    file = BytesIO()
    Image.fromarray(np.rint(picture).astype(np.uint8)).save(file, "JPEG", quality=JPEG_QUALITY)
    return file.getvalue()


def _down(shade: Mapping[str, Lab]) -> Floats:
    """Its colours from the root to the ends, (64, 3)."""
    zones = np.clip(srgb_from_lab([shade[zone] for zone in _ZONES]), 0, 1) * 255
    share = np.linspace(0, 1, 64)
    return np.stack([np.interp(share, (0.12, 0.5, 0.88), channel) for channel in zones.T], axis=-1).astype(np.float32)


def _lay(picture: Floats, bundle: _Bundle, colours: Floats, fall: Fall, lottery: np.random.Generator) -> None:
    """Lay a bundle over the part of the picture where it hangs."""
    room = bundle.half * (1 + fall.wider) + fall.swing + 2
    left, right = round((bundle.middle - room) * _PX), round((bundle.middle + room) * _PX)
    top, bottom = round(bundle.top * _PX), min(round((bundle.top + bundle.drop + 2) * _PX), HEIGHT)
    x = (np.arange(left, right, dtype=np.float32)[None, :] + 0.5) / _PX - bundle.middle
    along = (np.arange(top, bottom, dtype=np.float32)[:, None] + 0.5) / _PX - bundle.top
    half = _half_width(along, bundle, fall)
    off_dome = np.clip(along / bundle.dome - 0.3, 0, 1)
    turns = lottery.uniform(0, 5, bundle.locks).astype(np.float32)[_nth(x / half, bundle.locks)]
    swing = along * np.float32(2 * np.pi / fall.turn) + turns
    across = (x - fall.swing * off_dome * np.sin(swing)) / half
    strand = _nth(across, _STRANDS)
    tone = lottery.normal(0, 0.055, _STRANDS).astype(np.float32)[strand]
    ragged = (9 * lottery.random(_STRANDS)).astype(np.float32)[strand]
    light = 1.03 + tone - 0.14 * _off_lock(across, bundle.locks) - 0.30 * np.square(np.square(across))
    if fall.swing:
        light += 0.10 * off_dome * np.cos(swing)
    gloss = 24 * np.exp(-np.square((along / bundle.dome - 0.62) / 0.2)) * (1 + 7 * tone) * (1 - np.square(across))
    below = bundle.drop * (1 - 0.06 * np.square(across)) - ragged - along
    covers = np.clip((1 - np.abs(across)) * half * _PX + 0.5, 0, 1) * np.clip(below * _PX + 0.5, 0, 1)
    body = colours[np.clip(along[:, 0] / bundle.drop * 63, 0, 63).astype(int)][:, None]
    under = picture[top:bottom, left:right]
    under += (np.clip(body * light[..., None] + gloss[..., None], 0, 255) - under) * covers[..., None]


def _half_width(along: Floats, bundle: _Bundle, fall: Fall) -> Floats:
    """Of the bundle at these distances from its top: a dome, then wider with its texture, and narrower at the ends."""
    dome = np.sqrt(1 - np.square(np.clip(1 - along / bundle.dome, 0, 1)))
    wider = 1 + fall.wider * np.clip((along - bundle.dome) / 120, 0, 1)
    ends = 1 - 0.16 * np.square(np.clip((along - bundle.drop + 90) / 90, 0, 1))
    return np.asarray(np.maximum(bundle.half * dome * wider * ends, 0.5), dtype=np.float32)


def _nth(across: Floats, parts: int) -> NDArray[np.intp]:
    """Which of so many equal parts, counted from the left, a share across (−1 to 1) lies in."""
    return np.asarray(np.clip((across + 1) * (parts / 2), 0, parts - 1), dtype=np.intp)


def _off_lock(across: Floats, locks: int) -> Floats:
    """From 0 in the middle of each lock to 1 between two."""
    beside = (across + 1) * (locks / 2)
    return np.asarray(np.square(np.square(2 * (beside - np.floor(beside)) - 1)))


@cache
def _stand() -> Floats:
    """The paper with a plain stand on it: a rounded block on a post and a foot."""
    fine = 2
    sheet = Image.new("RGB", (WIDTH * fine, HEIGHT * fine), PAPER)
    pen, scale = ImageDraw.Draw(sheet), fine * _PX

    def box(left: float, top: float, right: float, bottom: float) -> tuple[float, float, float, float]:
        return (left * scale, top * scale, right * scale, bottom * scale)

    foot, post = box(_MIDDLE - 70, 486, _MIDDLE + 70, 514), box(_MIDDLE - 12, 200, _MIDDLE + 12, 501)
    block = box(_MIDDLE - 68, _TOP + 4, _MIDDLE + 68, _TOP + 214)
    pen.ellipse(foot, fill=_STAND, outline=_STAND_EDGE, width=3)
    pen.rectangle(post, fill=_STAND, outline=_STAND_EDGE, width=3)
    pen.rounded_rectangle(block, radius=68 * scale, fill=_STAND, outline=_STAND_EDGE, width=3)
    return np.asarray(sheet.reduce(fine), dtype=np.float32)
