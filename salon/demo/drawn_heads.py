"""Draws the demo's photos of heads: a plain figure without a face, her own hair on it, thin where her map says so.

The figure is a few ellipsoids looked at along parallel rays. The scalp is the head of her tapes, seen as
`clients.scalp.views` sees it, so that a photo, her map and the head on screen agree; what is below is one shape for
all. Hair lies close on the scalp, from the parting to the sides and from the crown all round, and hangs straight where
the head curves in. How it is coloured is `drawn_hair`'s.

Millimetres, in the upright frame of somebody who sits: x forward, y to her left, z up, from the middle of her head.
Light is linear sRGB.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from clients.scalp.head import Head
from clients.scalp.views import SEATED_TILT, View
from salon.colour.lab import srgb_from_linear
from salon.demo.drawn_hair import Hair, Strands

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Colour = Callable[[Floats], Floats]  # light (3, n) at points (3, n)

_WIDTH_MM: Final = 330.0  # of what a picture shows
_ABOVE_MM: Final = 165.0  # from the middle of the head to the picture's upper edge
_ABOVE_IN_TOP_VIEW_MM: Final = 230.0
_TURN_ELEVATION: Final = 12.0  # degrees above the horizon, as the side views have it
_JPEG_QUALITY: Final = 88
_DRAWN: Final = 0.55  # of a photo's pixels a side: enlarged it is as soft as a phone's, in a third of the time

_COS, _SIN = math.cos(SEATED_TILT), math.sin(SEATED_TILT)
_UPRIGHT_OF_SCALP: Final = np.array([[_COS, 0.0, -_SIN], [0.0, 1.0, 0.0], [_SIN, 0.0, _COS]])
_WINDOW: Final = np.array([-0.40, 0.55, 0.73])  # right, up, towards the camera: high on the left
_CLAY: Final = np.array([0.56, 0.47, 0.40])  # nobody's skin
_CAPE: Final = np.array([0.100, 0.112, 0.130])
_WALL: Final = np.array([0.62, 0.60, 0.57])
_HAIR_LIES_MM: Final = np.array([3.0, 7.0, 3.0])  # above the scalp, along its axes


def turn_view(frame: int, frames: int) -> View:
    """Where a turn's photo is taken from: the first before her face, then round by her left."""
    return View(f"turn {frame}", f"Turn {frame}", 360.0 * (frame - 1) / frames, _TURN_ELEVATION)


def head_photo(head: Head, hair: Hair, view: View, *, size: tuple[int, int], seed: int) -> bytes:
    """One photo as JPEG, `size` pixels wide and high; the same seed gives the same strands."""
    drawn = (round(size[0] * _DRAWN), round(size[1] * _DRAWN))
    light = _Photo(head, Strands(hair, seed), view, drawn).light()
    eight_bit = np.rint(np.clip(srgb_from_linear(light), 0.0, 1.0) * 255.0).astype(np.uint8)
    file = io.BytesIO()
    picture = Image.fromarray(eight_bit).resize(size, Image.Resampling.BICUBIC)
    picture.save(file, "JPEG", quality=_JPEG_QUALITY)
    return file.getvalue()


@dataclass(frozen=True)
class _Ellipsoid:
    """(p − middle)ᵀ form (p − middle) = 1; a form without z is a cylinder."""

    middle: Array
    form: Array

    @classmethod
    def upright(cls, middle: ArrayLike, semi_axes: ArrayLike) -> _Ellipsoid:
        return cls(np.asarray(middle, dtype=float), np.diag(1.0 / np.square(np.asarray(semi_axes, dtype=float))))

    @classmethod
    def skull(cls, semi_axes: ArrayLike) -> _Ellipsoid:
        form = np.diag(1.0 / np.square(np.asarray(semi_axes, dtype=float)))
        return cls(np.zeros(3), _UPRIGHT_OF_SCALP @ form @ _UPRIGHT_OF_SCALP.T)

    def normals(self, points: Floats) -> Floats:
        """Unit normals at points of it, (3, n)."""
        outward = _turned(self.form, points - self.middle.astype(np.float32)[:, None])
        return np.asarray(outward / np.sqrt(np.sum(np.square(outward), axis=0)))

    def hanging(self) -> _Ellipsoid:
        """The vertical cylinder that touches it all round: what hangs from it straight down."""
        x, z = self.form[0], self.form[2]
        shadow = np.diag([x[0] - z[0] ** 2 / z[2], self.form[1, 1], 0.0])
        return _Ellipsoid(self.middle, shadow)


class _Seen(NamedTuple):
    """Where rays meet a surface: flat pixels and depths towards the camera (n,), points (3, n) in the upright frame."""

    pixels: NDArray[np.intp]
    depth: Floats
    points: Floats

    def those(self, chosen: Mask) -> _Seen:
        return _Seen(self.pixels[chosen], self.depth[chosen], self.points[:, chosen])


class _Photo:
    """One photo while it is drawn; nearer surfaces are laid over those behind."""

    def __init__(self, head: Head, strands: Strands, view: View, size: tuple[int, int]) -> None:
        self.strands = strands
        self.axes = (view.axes @ _UPRIGHT_OF_SCALP.T).astype(np.float32)  # right, up, towards the camera
        self.semi_axes = np.array(head.semi_axes_mm)
        self.hair_on_scalp = _Ellipsoid.skull(self.semi_axes + _HAIR_LIES_MM)
        width, height = size
        self.shape = (height, width)
        mm = _WIDTH_MM / width
        above = _ABOVE_IN_TOP_VIEW_MM if view.key == "top" else _ABOVE_MM
        self.right = ((np.arange(width) + 0.5) * mm - _WIDTH_MM / 2).astype(np.float32)
        self.up = (above - (np.arange(height) + 0.5) * mm).astype(np.float32)
        self.depth = np.full(width * height, -np.inf, dtype=np.float32)

    def light(self) -> Floats:
        """The photo, (height, width, 3)."""
        a, b, c = self.semi_axes
        cape = _Ellipsoid.upright((-14, 0, -350), (92, 225, 190))
        neck = _Ellipsoid.upright((-16, 0, 0), (0.54 * a, 0.58 * b, np.inf))
        face, hangs = _Ellipsoid.skull((a, b, 0.86 * c)), self.hair_on_scalp.hanging()
        layers = [
            self._lay(cape, self._matt(cape, _CAPE)),
            self._lay(neck, self._matt(neck, _CLAY), lambda points: np.abs(points[2] + 140) < 100),
            self._lay(face, self._matt(face, _CLAY)),
            *(self._lay(hangs, self._hair(hangs, side), self._hangs, side) for side in (-1, 1)),
            self._lay(self.hair_on_scalp, self._scalp, self._grows),
        ]
        picture = self._wall()
        for seen, colour in layers:
            left = seen.those(seen.depth >= self.depth[seen.pixels])
            picture[left.pixels] = colour(left.points).T
        return picture.reshape(*self.shape, 3)

    def _lay(
        self, surface: _Ellipsoid, colour: Colour, kept: Callable[[Floats], Mask] | None = None, side: int = 1
    ) -> tuple[_Seen, Colour]:
        """Lay what is kept of a surface over what lies behind; its colour is asked for when all are laid."""
        seen = self._met(surface, side)
        if kept is not None:
            seen = seen.those(kept(seen.points))
        self.depth[seen.pixels] = seen.depth
        return seen, colour

    def _met(self, surface: _Ellipsoid, side: int) -> _Seen:
        """Where rays meet the surface before all that is laid: side 1 from outside, −1 on its far wall."""
        axes = self.axes.astype(np.float64)
        middle = (axes @ surface.middle).astype(np.float32)
        right, up = self.right[None, :] - middle[0], self.up[:, None] - middle[1]
        (uu, uv, uw), (_, vv, vw), (_, _, ww) = (axes @ surface.form @ axes.T).astype(np.float32)
        half = uw * right + vw * up
        under = half * half - ww * (uu * right * right + vv * up * up + (2 * uv * right) * up - 1)
        met = np.flatnonzero(under > 0)
        depth = (side * np.sqrt(under.ravel()[met]) - half.ravel()[met]) / ww + middle[2]
        nearer = depth > self.depth[met]
        pixels, depth = met[nearer], depth[nearer]
        rows, columns = np.divmod(pixels, self.shape[1])
        return _Seen(pixels, depth, _turned(self.axes.T, (self.right[columns], self.up[rows], depth)))

    # Which part of a surface there is

    def _hangs(self, points: Floats) -> Mask:
        """Below where the head curves in, behind the face, as long as it is."""
        form = self.hair_on_scalp.form
        below = points[2] <= -form[2, 0] / form[2, 2] * points[0]
        is_long_enough = points[2] > self.strands.ends_at(points)
        return np.asarray(below & is_long_enough & (self.strands.behind_face(points) > 0))

    def _grows(self, points: Floats) -> Mask:
        return np.asarray((_height_on_scalp(points) > 0) | (self.strands.behind_face(points) > 0))

    # How it looks

    def _matt(self, surface: _Ellipsoid, colour: Array) -> Colour:
        return lambda points: self._brightness(surface.normals(points)) * colour.astype(np.float32)[:, None]

    def _hair(self, surface: _Ellipsoid, side: int = 1) -> Colour:
        def light(points: Floats) -> Floats:
            normals = side * surface.normals(points)
            upward, facing = (np.tensordot(self.axes[axis], normals, 1) for axis in (1, 2))
            shine = np.maximum(facing, 0) * np.exp(-(((upward - 0.6) / 0.17) ** 2))
            return self.strands.light(points, self._brightness(normals), shine)

        return light

    def _scalp(self, points: Floats) -> Floats:
        """Hair over clay, as much as remains."""
        surface = self.hair_on_scalp
        skin, hair = self._matt(surface, _CLAY)(points), self._hair(surface)(points)
        normals = _turned(_UPRIGHT_OF_SCALP.T, points) / (self.semi_axes + _HAIR_LIES_MM).astype(np.float32)[:, None]
        inside_hairline = np.maximum(_height_on_scalp(points), self.strands.behind_face(points))
        return np.asarray(skin + (hair - skin) * self.strands.covering(points, normals, inside_hairline))

    def _brightness(self, normals: Floats) -> Floats:
        window, camera = self.axes.T @ (_WINDOW / np.linalg.norm(_WINDOW)).astype(np.float32), self.axes[2]
        lit, facing = (np.maximum(np.tensordot(towards, normals, 1), 0) for towards in (window, camera))
        return np.asarray(0.30 + 0.55 * lit + 0.15 * facing)

    def _wall(self) -> Floats:
        falling = np.linspace(1.06, 0.86, self.shape[0], dtype=np.float32)
        return np.outer(np.repeat(falling, self.shape[1]), _WALL).astype(np.float32)


def _height_on_scalp(points: Floats) -> Floats:
    """Above the hairline plane, mm."""
    return np.asarray(_turned(_UPRIGHT_OF_SCALP.T[2:], points)[0])


def _turned(matrix: Array, points: Floats | tuple[Floats, ...]) -> Floats:
    """matrix @ points for three long rows, without the detour that a matrix product takes for them."""
    x, y, z = points
    return np.stack([p * x + q * y + r * z for p, q, r in matrix.astype(np.float32)])
