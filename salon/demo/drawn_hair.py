"""Which light hair gives back in the demo's drawn photos, strand by strand, and how much of the scalp it covers.

A strand is told by where it parts: by its place along the parting in front of the crown, by its direction round the
crown behind it. Millimetres in the upright frame of `drawn_heads`; light is linear sRGB.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import GRID, disk_coordinates
from clients.scalp.loss_map import LossMap
from salon.colour.lab import LINEAR_RGB_OF_XYZ, xyz_from_lab

Floats = NDArray[np.float32]
Lab = tuple[float, float, float]

_CROWN_X: Final = -45.0
_CROWN_RADIUS: Final = 85.0  # round the crown strands lie as close as this far from it
_ACROSS: Final = 1.8  # rows of the grain a millimetre
_ALONG: Final = 1 / 40  # columns of the grain a millimetre
_ROWS, _COLUMNS = 4096, 64
_TOP_Z: Final = 130.0  # where strands begin to be counted along


@dataclass(frozen=True)
class Hair:
    """What is on her head: colours at root and ends, length, wave (0 straight to 1 wavy), where it parts (mm to her
    left), and how much remains (None: a piece covers what is lost)."""

    root: Lab
    ends: Lab
    length_mm: float
    remaining: LossMap | None
    wave: float = 0.0
    parting_mm: float = 0.0


class Strands:
    """One head of hair; the same seed gives the same strands."""

    def __init__(self, hair: Hair, seed: int) -> None:
        self.hair = hair
        self.root, self.ends = (
            (xyz_from_lab(lab) @ LINEAR_RGB_OF_XYZ.T).astype(np.float32) for lab in (hair.root, hair.ends)
        )
        self.grain = _grain(seed)
        self.density = _softened(hair.remaining)

    def light(self, points: Floats, brightness: Floats, shine: Floats) -> Floats:
        """What hair at points (3, n) gives back, (3, n)."""
        along = self._along(points)
        noise = self._noise(points, along)
        share = np.clip(along / max(self.hair.length_mm, 60.0), 0, 1)
        lit, sheen = brightness * (0.55 + 1.3 * noise), 0.06 * shine * noise
        return np.stack(
            [lit * (root + share * (end - root)) + sheen for root, end in zip(self.root, self.ends, strict=True)]
        )

    def covering(self, points: Floats, normals: Floats, inside_hairline_mm: Floats) -> Floats:
        """Share of the scalp that hair hides at points (3, n), (n,); `normals` as `clients.scalp.grid` has them."""
        noise = self._noise(points, self._along(points), beside_mm=300)
        from_parting = np.hypot(self._off_parting(points), np.minimum(points[0] - _CROWN_X, 0))
        parted = 1 - 0.4 * np.exp(-np.square(from_parting / 1.6))
        share = self._remaining(normals) * parted
        uneven = share + 3.2 * share * (1 - share) * (noise - 0.5)
        return np.asarray(np.clip(uneven, 0, 1) ** 0.8 * np.clip((inside_hairline_mm + 6 * (noise - 0.5)) / 8, 0, 1))

    def behind_face(self, points: Floats) -> Floats:
        """How far behind the line from the temple down along which hair is put back, mm."""
        x, _, z = points
        line = 6 + 40 * np.square(np.clip((z + 45) / 85, 0, 1))
        return np.asarray(line - x + 8 * (self._noise(points, self._along(points)) - 0.5))

    def ends_at(self, points: Floats) -> Floats:
        """How far down the hair that hangs at these points reaches, z."""
        return np.asarray(40 - self.hair.length_mm + 16 * self._noise(points, np.zeros_like(points[0])))

    def _remaining(self, normals: Floats) -> Floats:
        """Share of the hair that remains, between the middles of the map's cells."""
        x, y, z = normals
        above = np.stack([x, y, np.maximum(z, 0)], axis=-1)
        disk = disk_coordinates(above / np.linalg.norm(above, axis=-1, keepdims=True)).astype(np.float32)
        rows, columns = ((1 - disk) * (GRID / 2) - 0.5).T
        return _between(self.density, rows, columns, mode="nearest")

    def _noise(self, points: Floats, along: Floats, beside_mm: float = 0.0) -> Floats:
        """From 0 to 1 about a half: rough from strand to strand, smooth along each."""
        off, behind = self._off_parting(points), np.maximum(_CROWN_X - points[0], 0)
        strand = np.maximum(points[0] - _CROWN_X, 0) - _CROWN_RADIUS * np.arctan2(behind, np.abs(off))
        wave = 5 * np.sin(along / 14 + strand / 45) + 2 * np.sin(along / 6 + strand / 19)
        left = off > 0
        strand = (
            strand + np.where(left, self.hair.wave, -self.hair.wave) * wave + np.where(left, 0, 700)
        )  # no mirror image on the other side
        return _between(self.grain, (strand + beside_mm) * _ACROSS, along * _ALONG, mode="grid-wrap")

    def _along(self, points: Floats) -> Floats:
        """How far down its strand a point lies, mm: off the parting, then down."""
        return np.asarray(np.maximum(np.abs(self._off_parting(points)) - points[2] + _TOP_Z, 0))

    def _off_parting(self, points: Floats) -> Floats:
        """To the left of where the hair parts, mm; the parting runs into the crown."""
        return np.asarray(points[1] - self.hair.parting_mm * np.clip((points[0] - _CROWN_X) / 25, 0, 1))


def _softened(remaining: LossMap | None) -> Floats:
    """Shares of the hair that remains, without the hard edge of a brush: hair falls over it."""
    from scipy.ndimage import gaussian_filter

    share = np.ones((GRID, GRID)) if remaining is None else remaining.density / 100
    return np.asarray(gaussian_filter(share, 1.6, mode="nearest"), dtype=np.float32)


def _grain(seed: int) -> Floats:
    """Noise that is rough across strands (rows) and smooth along them (columns): single strands and locks of a few."""
    lottery = np.random.default_rng(seed)
    single = lottery.random((_ROWS, _COLUMNS))
    single = single + np.roll(single, 1, axis=0) + np.roll(single, 1, axis=1)
    locks = np.repeat(lottery.random((_ROWS // 16, _COLUMNS)), 16, axis=0)
    locks = np.mean([np.roll(locks, step, axis=0) for step in range(0, 16, 4)], axis=0)
    grain = (single - single.mean()) / single.std() + 0.8 * (locks - locks.mean()) / locks.std()
    return np.asarray(np.clip(0.5 + 0.2 * grain, 0, 1), dtype=np.float32)


def _between(table: Floats, rows: Floats, columns: Floats, *, mode: str) -> Floats:
    """The table's values between its rows and columns; what lies beyond is `mode`'s to say."""
    from scipy.ndimage import map_coordinates

    return np.asarray(map_coordinates(table, [rows, columns], order=1, mode=mode))
