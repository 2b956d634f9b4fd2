"""Draws the bases of the demo's pieces from below, as they lie in the hand: what touches her head, to its measures.

The outline, clips and tape are the base's own (`pieces.bases`), the front is up, and her left lies on the right, for
one looks from below. What it is made of is told by a plain texture; how close a net is woven is ours to draw. Hair
shows around the edge, in one colour for all.

Millimetres until the pen is put down: x to her left, u behind the front edge.
"""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw

from pieces.bases.construction import BaseShape
from pieces.bases.drawing import FRONT_SHARE, draw_base
from pieces.bases.outline import BaseOutline
from salon.demo.drawn_pieces import HEIGHT, JPEG_QUALITY, PAPER, WIDTH

Array = NDArray[np.float64]
Point = tuple[float, float]
Colour = tuple[int, int, int]

_FINE: Final = 2  # drawn so many times as large, for smooth lines
_ROOM: Final = 0.78  # share of the picture that the base takes up
_HAIR_SHARE: Final = 0.09  # how far hair shows beyond the edge, of the longer side
_EDGE_STEPS: Final = 90

_HAIR: Final[tuple[Colour, ...]] = ((205, 194, 182), (190, 177, 163), (214, 204, 193), (178, 164, 149))
_WEFT: Final[Colour] = (142, 124, 108)
_STITCH: Final[Colour] = (192, 177, 162)
_CLOTH: Final[Colour] = (226, 214, 199)
_LACE: Final[Colour] = (236, 228, 217)
_THREAD: Final[Colour] = (188, 170, 150)
_SILK: Final[Colour] = (233, 223, 210)
_SKIN: Final[Colour] = (222, 207, 190)
_SKIN_LIGHT: Final[Colour] = (236, 226, 214)
_TAPE: Final[Colour] = (202, 214, 219)
_TAPE_EDGE: Final[Colour] = (112, 136, 148)
_METAL: Final[Colour] = (104, 102, 104)
_METAL_LIGHT: Final[Colour] = (176, 174, 176)
_BINDING: Final[Colour] = (150, 131, 114)


def base_drawing(shape: BaseShape, *, construction: str, seed: int) -> bytes:
    """The JPEG of a base from below; `construction` is one of `Base.Construction`."""
    sheet = _Sheet(shape.outline)
    sheet.hair(np.random.default_rng(seed))
    sheet.inside(lambda pen: _MATERIALS[construction](sheet, pen))
    if shape.front_edge == "lace":
        sheet.inside(lambda pen: sheet.mesh(pen, 3.4), sheet.band(sheet.front(), 30))
    elif shape.front_edge == "polyurethane":
        sheet.inside(sheet.skin, sheet.band(sheet.front(), 26))
    for area in shape.tape_areas:
        sheet.strip(area.from_mm, area.to_mm, fill=_TAPE, edge=_TAPE_EDGE, width=3)
    sheet.strip(0.0, shape.outline.length_mm, fill=None, edge=_BINDING, width=5)
    for clip in draw_base(shape).clips:
        sheet.clip((-clip.x, clip.y), -clip.angle, clip.length, clip.depth)
    return sheet.jpeg()


class _Sheet:
    """The picture of one base while it is drawn."""

    def __init__(self, outline: BaseOutline) -> None:
        self.outline = outline
        self.size = (WIDTH * _FINE, HEIGHT * _FINE)
        self.scale = min(self.size[0] / outline.width_mm, self.size[1] / outline.length_mm) * _ROOM
        self.picture = Image.new("RGB", self.size, PAPER)
        self.pen = ImageDraw.Draw(self.picture)
        self.edge = self._strip(0.0, outline.length_mm)
        self.within = self._mask(self.edge)

    # What lies where

    def at(self, x: float, u: float) -> Point:
        """In pixels."""
        return (
            self.size[0] / 2 + x * self.scale,
            self.size[1] / 2 + (u - self.outline.length_mm / 2) * self.scale,
        )

    def front(self) -> list[Point]:
        """The front edge with the beginning of both sides."""
        around = self._strip(0.0, FRONT_SHARE * self.outline.length_mm)
        half = len(around) // 2
        return around[half - 1 :: -1] + around[: half - 1 : -1]

    def band(self, line: list[Point], width_mm: float) -> Image.Image:
        """What lies within half the width of a line."""
        mask = Image.new("L", self.size, 0)
        ImageDraw.Draw(mask).line(line[::3], fill=255, width=round(width_mm * self.scale), joint="curve")
        return mask

    def _strip(self, from_mm: float, to_mm: float) -> list[Point]:
        """The outline between two distances from the front edge, once round; steps closest where it turns fastest."""
        u = from_mm + (to_mm - from_mm) * (1 - np.cos(np.linspace(0, np.pi, _EDGE_STEPS))) / 2
        half = self.outline.half_width_mm(np.clip(u, 0, self.outline.length_mm))
        x, down = np.concatenate([-half, half[::-1]]), np.concatenate([u, u[::-1]])
        return [self.at(*point) for point in zip(x.tolist(), down.tolist(), strict=True)]

    def _mask(self, around: list[Point]) -> Image.Image:
        mask = Image.new("L", self.size, 0)
        ImageDraw.Draw(mask).polygon(around, fill=255)
        return mask

    # Drawing

    def inside(self, draw: Callable[[ImageDraw.ImageDraw], None], mask: Image.Image | None = None) -> None:
        """Draw on what of the base lies within the mask."""
        layer = self.picture.copy()
        draw(ImageDraw.Draw(layer))
        kept = self.within if mask is None else ImageChops.darker(self.within, mask)
        self.picture.paste(layer, mask=kept)

    def fill(self, pen: ImageDraw.ImageDraw, colour: Colour) -> None:
        pen.rectangle((0, 0, *self.size), fill=colour)

    def hair(self, lottery: np.random.Generator) -> None:
        """What shows of it beyond the edge: it falls away from the middle, a little to the back, and ends evenly."""
        edge, middle = np.array(self.edge), np.array(self.size) / 2
        corners = np.vstack([edge, edge[:1]])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
        places = np.arange(0.0, along[-1], 5.0)
        roots = np.column_stack([np.interp(places, along, corners[:, axis]) for axis in (0, 1)])
        out = (roots - middle) / np.hypot(*(roots - middle).T)[:, None] + np.array([0.0, 0.12])
        beyond = _HAIR_SHARE * max(self.outline.length_mm, self.outline.width_mm) * self.scale
        tips = roots + out * beyond * lottery.uniform(0.93, 1.0, len(places))[:, None]
        self.pen.polygon([tuple(tip) for tip in tips.tolist()], fill=_HAIR[0])
        swept = tips + lottery.normal(0, 4, tips.shape)
        for number, (root, tip) in enumerate(zip(roots.tolist(), swept.tolist(), strict=True)):
            self.pen.line([tuple(root), tuple(tip)], fill=_HAIR[number % len(_HAIR)], width=3)

    def strip(self, from_mm: float, to_mm: float, *, fill: Colour | None, edge: Colour, width: int) -> None:
        """The base between two distances from its front edge."""
        self.pen.polygon(self._strip(from_mm, to_mm), fill=fill, outline=edge, width=width)

    def clip(self, middle: Point, angle: float, length: float, depth: float) -> None:
        """A closed clip with its teeth: a bow and a row of short strokes."""
        turn = np.radians(angle)
        along, beside = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])

        def at(share: float, off: float) -> Point:
            x, u = np.array(middle) + along * share * length / 2 + beside * off * depth / 2
            return self.at(x, u)

        bow = [at(share, off) for share, off in ((-1, -0.4), (-0.9, -1), (0.9, -1), (1, -0.4), (1, 0.4), (0.9, 1))]
        bow += [at(share, off) for share, off in ((-0.9, 1), (-1, 0.4))]
        self.pen.polygon(bow, fill=_METAL_LIGHT, outline=_METAL, width=4)
        for share in np.linspace(-0.78, 0.78, 9):
            self.pen.line([at(share, -0.55), at(share, 0.75)], fill=_METAL, width=3)

    # Materials

    def mesh(self, pen: ImageDraw.ImageDraw, apart_mm: float) -> None:
        """Lace: threads in three directions."""
        self.fill(pen, _LACE)
        for angle in (0, 60, 120):
            self._threads(pen, apart_mm, angle)

    def net(self, pen: ImageDraw.ImageDraw) -> None:
        """A fine woven net: threads crosswise."""
        self.fill(pen, _CLOTH)
        for angle in (45, 135):
            self._threads(pen, 2.6, angle, (206, 191, 173))

    def silk(self, pen: ImageDraw.ImageDraw) -> None:
        """Smooth, with a sheen in broad soft stripes."""
        self.fill(pen, _SILK)
        for number in range(5):
            shade = (239, 231, 220) if number % 2 else (229, 218, 204)
            self._stroke(pen, (number - 2) * self.outline.width_mm / 4, self.outline.width_mm / 7, 68, shade)

    def skin(self, pen: ImageDraw.ImageDraw) -> None:
        """Smooth, with a gloss."""
        self.fill(pen, _SKIN)
        for off, wide in ((-0.2, 0.05), (-0.12, 0.02), (0.24, 0.04)):
            self._stroke(pen, off * self.outline.width_mm, wide * self.outline.width_mm, 68, _SKIN_LIGHT)

    def edged_net(self, pen: ImageDraw.ImageDraw) -> None:
        """A net with an edge of skin."""
        self.net(pen)
        rim = self.band([*self.edge, self.edge[0]], 32)
        pen.bitmap((0, 0), rim, fill=_SKIN)

    def wefts(self, pen: ImageDraw.ImageDraw) -> None:
        """Rows of wefts with open air between them, held by bands that run from front to back."""
        self.fill(pen, PAPER)
        half, length = self.outline.width_mm / 2, self.outline.length_mm
        for x in np.linspace(-0.62, 0.62, 4) * half:
            pen.line([self.at(x, 0), self.at(x, length)], fill=_CLOTH, width=round(5 * self.scale))
        for u in np.arange(6, length + 12, max(11.0, length / 20)):
            row = [self.at(x, u - 0.03 * length * (1 - (x / half) ** 2)) for x in np.linspace(-half, half, 25)]
            pen.line(row, fill=_WEFT, width=round(3.6 * self.scale), joint="curve")
            pen.line(row, fill=_STITCH, width=round(1.2 * self.scale), joint="curve")

    def _threads(self, pen: ImageDraw.ImageDraw, apart_mm: float, angle: float, colour: Colour = _THREAD) -> None:
        reach = max(self.outline.length_mm, self.outline.width_mm)
        for off in np.arange(-reach, reach, max(apart_mm, reach / 48)):
            self._stroke(pen, off, 1.4 / self.scale, angle, colour)

    def _stroke(self, pen: ImageDraw.ImageDraw, off_mm: float, wide_mm: float, angle: float, colour: Colour) -> None:
        """A straight line right across, so far off the middle."""
        turn, reach = np.radians(angle), 1.5 * max(self.outline.length_mm, self.outline.width_mm)
        along, beside = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
        middle = np.array([0.0, self.outline.length_mm / 2]) + beside * off_mm
        ends = [self.at(*(middle + side * reach * along)) for side in (-1, 1)]
        pen.line(ends, fill=colour, width=max(round(wide_mm * self.scale), 1))

    def jpeg(self) -> bytes:
        file = BytesIO()
        self.picture.reduce(_FINE).save(file, "JPEG", quality=JPEG_QUALITY)
        return file.getvalue()


_MATERIALS: Final[dict[str, Callable[[_Sheet, ImageDraw.ImageDraw], None]]] = {
    "lace": lambda sheet, pen: sheet.mesh(pen, 5.0),
    "mono": _Sheet.net,
    "silk": _Sheet.silk,
    "polyurethane": _Sheet.skin,
    "mixed": _Sheet.edged_net,
    "weft": _Sheet.wefts,
}
