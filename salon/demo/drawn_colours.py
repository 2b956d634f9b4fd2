"""Draws the demo's colour photos: hair beside a 24-patch chart and a grey card, through a camera that is a little off.

The scene is laid out in pixels and linear sRGB, from colours as an instrument would read them; a photo sees hair
lighter, for it sees its shine too, so some of that is added. The camera then mixes its channels, tints, bends its
curve, darkens the corners and adds noise, as phones do. Marks are placed where a careful stylist would place them.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from salon.colour.charts import COLUMNS, Edition, chart_xyz
from salon.colour.lab import LINEAR_RGB_OF_XYZ, srgb_from_linear, xyz_from_lab
from salon.colour.marks import ChartMark, Marks, Spot

Array = NDArray[np.float64]
Lab = tuple[float, float, float]

WIDTH, HEIGHT = 960, 720
ZONES: Final = ("root", "mid", "ends")
SHINE: Final = 0.012  # of the light, which hair throws back as it came

_CHART: Final = (60, 60)  # left and top of the first patch
_PITCH, _PATCH = 62, 56
_CARD: Final = (60, 370, 160, 240)  # left, top, width, height
_LOCK: Final = (560, 40, 300, 640)
_STRANDS: Final = ((270, 370, 50, 240), (360, 370, 50, 240))
_ROW: Final = (60, 370, 840, 300)  # where a row of swatches lies, in the place of the card
_SPOT: Final = 22  # radius
_CLOTH, _FRAME, _GREY_CARD = 0.42, 0.035, 0.18  # reflectances
_JPEG_QUALITY: Final = 92


@dataclass(frozen=True)
class ColourPhoto:
    jpeg: bytes
    marks: Marks


def hair_photo(colours: Mapping[str, Lab], *, edition: Edition, seed: int) -> ColourPhoto:
    """A lock of hair with its colours at root, mid and ends; other colours lie beside it as single strands."""
    scene = _Scene(edition, seed)
    scene.fill(_CARD, np.full(3, _GREY_CARD))
    left, top, width, height = _LOCK
    scene.lay_hair(_LOCK, [colours[zone] for zone in ZONES])
    spots = {
        zone: tuple(_spot(left + width * share, top + height * (0.15 + 0.35 * number)) for share in (0.2, 0.5, 0.8))
        for number, zone in enumerate(ZONES)
    }
    others = [name for name in colours if name not in ZONES]
    for name, place in zip(others, _STRANDS, strict=False):
        scene.lay_hair(place, [colours[name]])
        left, top, width, height = place
        spots[name] = tuple(_spot(left + width / 2, top + height * share) for share in (0.25, 0.5, 0.75))
    return ColourPhoto(scene.photographed(), Marks(_chart_mark(), spots))


def row_photo(colours: Mapping[str, Lab], *, edition: Edition, seed: int) -> ColourPhoto:
    """A row of swatches, each of one colour; the marks have its name."""
    scene = _Scene(edition, seed)
    left, top, width, height = _ROW
    pitch, spots = width / len(colours), {}
    for number, (name, lab) in enumerate(colours.items()):
        swatch = (round(left + pitch * (number + 0.12)), top, round(0.76 * pitch), height)
        scene.lay_hair(swatch, [lab])
        spots[name] = tuple(_spot(swatch[0] + swatch[2] / 2, top + height * share) for share in (0.25, 0.5, 0.75))
    return ColourPhoto(scene.photographed(), Marks(_chart_mark(), spots))


class _Scene:
    """What lies before the camera, in linear sRGB."""

    def __init__(self, edition: Edition, seed: int) -> None:
        self.lottery = np.random.default_rng(seed)
        self.light = np.full((HEIGHT, WIDTH, 3), _CLOTH)
        left, top = _CHART
        self.fill((left - 10, top - 10, COLUMNS * _PITCH + 14, 4 * _PITCH + 14), np.full(3, _FRAME))
        for patch, colour in enumerate(np.maximum(chart_xyz(edition) @ LINEAR_RGB_OF_XYZ.T, 0)):
            row, column = divmod(patch, COLUMNS)
            self.fill((left + column * _PITCH, top + row * _PITCH, _PATCH, _PATCH), colour)

    def fill(self, place: tuple[int, int, int, int], colour: Array) -> None:
        left, top, width, height = place
        self.light[top : top + height, left : left + width] = colour

    def lay_hair(self, place: tuple[int, int, int, int], down: Sequence[Lab]) -> None:
        """Strands that lie side by side from top to bottom; of several colours each holds for a while."""
        *_, width, height = place
        colours = np.repeat(np.stack([xyz_from_lab(lab) for lab in down]) @ LINEAR_RGB_OF_XYZ.T + SHINE, 2, axis=0)
        middles = 0.15 + 0.35 * np.arange(len(down))
        knots = np.ravel(np.stack([middles - 0.09, middles + 0.09], axis=1))
        share = np.arange(height) / height
        body = np.stack([np.interp(share, knots, channel) for channel in colours.T], axis=-1)
        wander = 3.0 * np.sin(5.0 * share + self.lottery.uniform(0, 6))
        strand = (np.arange(width) + wander[:, None]).astype(int) % width
        fine = self.lottery.standard_normal(strand.shape)
        tone = 1 + 0.06 * self.lottery.standard_normal(width)[strand] + 0.03 * (fine + np.roll(fine, 1, axis=0))
        glossy = self.lottery.random(width)[strand] ** 4
        gloss = 0.06 * glossy * np.exp(-(((share[:, None] - 0.31) / 0.04) ** 2))
        gap = np.where((self.lottery.random(width) < 0.06)[strand], 0.6, 1.0)
        hair = (body[:, None] * tone[..., None] + gloss[..., None]) * gap[..., None]
        reaches = share[:, None] < 1 - 0.05 * self.lottery.random(width)[strand]
        self.fill(place, np.where(reaches[..., None], hair, _CLOTH))

    def photographed(self) -> bytes:
        """The JPEG of it, by a camera that draws its faults by lot within what phones have."""
        crosstalk = np.eye(3) + self.lottery.normal(0, 0.04, (3, 3))
        crosstalk /= crosstalk.sum(axis=1, keepdims=True)
        tint = np.array([self.lottery.uniform(0.95, 1.2), 1.0, self.lottery.uniform(0.8, 1.0)])
        down, across = np.linspace(-1, 1, HEIGHT)[:, None], np.linspace(-1, 1, WIDTH)
        fall_off = 1 - 0.02 * (down**2 + across**2)
        seen = np.clip((self.light @ crosstalk.T) * tint * 0.78 * fall_off[..., None], 0, 1)
        shown = srgb_from_linear(seen ** self.lottery.uniform(0.97, 1.06))
        shown += 0.005 * self.lottery.standard_normal(shown.shape)
        file = io.BytesIO()
        picture = Image.fromarray(np.rint(np.clip(shown, 0, 1) * 255).astype(np.uint8))
        picture.save(file, "JPEG", quality=_JPEG_QUALITY, subsampling=0)
        return file.getvalue()


def _chart_mark() -> ChartMark:
    left, top = (edge + _PATCH / 2 for edge in _CHART)
    right, bottom = left + (COLUMNS - 1) * _PITCH, top + 3 * _PITCH
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return ChartMark(tuple((x / WIDTH, y / HEIGHT) for x, y in corners))


def _spot(x: float, y: float) -> Spot:
    return Spot(x / WIDTH, y / HEIGHT, _SPOT / WIDTH)
