"""What shape and size is this head, and what would a tape read at a point of it?

The scalp is taken as the half ellipsoid above the hairline plane: semi-axes a (front-back), b (side-side), c (height).
Axes: x forward, y to the client's left, z up, origin in the middle of the hairline plane. Millimetres, and cm² for
areas. Three tapes fix it exactly (`tapes`); between the tape lines the surface is an estimate, for heads are no
ellipsoids.

Tape coordinates (s, t) are what a stylist measures: s back along the midline from the front hairline, then t outwards
(left positive) in the plane that stands square on the scalp there. Low at the sides several such planes hold one
point; the one whose foot is nearest is meant, so a point before the ears has its foot on the front half of the midline
and one behind them on the back half. The ear-to-ear line itself belongs to the top of the head, as its tape does.

Sources: arcs by Legendre's incomplete elliptic integral of the second kind (DLMF 19.30.3, MEMORY), the area by
Carlson's R_G (DLMF 19.33.1, MEMORY); both are checked against quadrature and geographiclib in tests/published.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from clients.scalp.grid import CELL_SOLID_AREA, INSIDE, SAMPLE_SOLID_AREA, UNIT_NORMALS, Floats, samples
from clients.scalp.tapes import ASSUMED_TAPES, SemiAxes, Tapes, TapesError, ellipse_perimeter, semi_axes_from_tapes

__all__ = ["Head", "Tapes", "TapesError"]

_ON_THE_EAR_LINE = 1e-9  # of a: nearer than this to the ear-to-ear plane is on it, whatever the rounding says
_SETTLED = 1e-13  # radians; less than a millionth of a millimetre on any head
_MOST_STEPS = 80  # Newton needs about six; a halving every step would still reach the last digit


@dataclass(frozen=True)
class Head:
    """A half ellipsoid in millimetres; `assumed` names the tapes nobody took (fields of `Tapes`)."""

    semi_axes_mm: SemiAxes
    assumed: tuple[str, ...] = ()

    @classmethod
    def from_tapes(
        cls,
        circumference_mm: float | None = None,
        front_to_nape_mm: float | None = None,
        ear_to_ear_mm: float | None = None,
    ) -> Self:
        """The head that the tapes fit; a tape left out is assumed (559 / 356 / 343 mm) and named in `assumed`.

        Raises TapesError when the three cannot belong to one head, naming the tape to take again.
        >>> [round(axis, 1) for axis in Head.from_tapes(559, 356, 343).semi_axes_mm]
        [93.5, 84.3, 131.5]
        """
        given = (circumference_mm, front_to_nape_mm, ear_to_ear_mm)
        assumed = tuple(field for field, tape in zip(Tapes._fields, given, strict=True) if tape is None)
        pairs = zip(given, ASSUMED_TAPES, strict=True)
        tapes = Tapes(*(usual if tape is None else float(tape) for tape, usual in pairs))
        return cls(semi_axes_from_tapes(tapes, assumed), assumed)

    @cached_property
    def tapes_mm(self) -> Tapes:
        """Circumference, front to nape and ear to ear of this shape."""
        a, b, c = self.semi_axes_mm
        return Tapes(ellipse_perimeter(a, b), ellipse_perimeter(a, c) / 2, ellipse_perimeter(b, c) / 2)

    @cached_property
    def area_cm2(self) -> float:
        """Area of the scalp: half the ellipsoid's, 2π R_G(a²b², a²c², b²c²)."""
        from scipy.special import elliprg

        a, b, c = self.semi_axes_mm
        return float(2 * math.pi * elliprg((a * b) ** 2, (a * c) ** 2, (b * c) ** 2)) / 100

    @cached_property
    def cell_areas_cm2(self) -> Floats:
        """Area of each map cell on this head, shape (64, 64), 0 outside the disk; the sum is `area_cm2` to 1 %."""
        return _frozen(np.where(INSIDE, CELL_SOLID_AREA * self._stretch(UNIT_NORMALS) / 100, 0.0))

    @cached_property
    def cell_points_mm(self) -> Floats:
        """Centre of each map cell on the scalp, shape (64, 64, 3); cells outside the disk sit on the hairline."""
        return _frozen(UNIT_NORMALS * self.semi_axes_mm)

    @cached_property
    def cell_tape_coordinates(self) -> Floats:
        """(s, t) in mm of each map cell's centre, shape (64, 64, 2)."""
        return _frozen(self.tape_coordinates(self.cell_points_mm))

    @cached_property
    def sample_areas_cm2(self) -> Floats:
        """Area of scalp each of `grid.samples()` stands for, shape (n,)."""
        return _frozen(SAMPLE_SOLID_AREA * self._stretch(samples().normals) / 100)

    @cached_property
    def sample_tape_coordinates(self) -> Floats:
        """(s, t) in mm of each of `grid.samples()`, shape (n, 2)."""
        normals = samples().normals
        s, t = self.tape_coordinates(normals[: len(normals) // 4] * self.semi_axes_mm).T
        s = np.concatenate([s, s, self.tapes_mm.front_to_nape_mm - s, self.tapes_mm.front_to_nape_mm - s])
        return _frozen(np.column_stack([s, np.concatenate([t, -t, t, -t])]))

    def tape_coordinates(self, points_mm: ArrayLike) -> Floats:
        """(s, t) in mm of points of the scalp, shape (..., 3) in and (..., 2) out.

        A point off the surface is first brought onto it along the line to the middle of the head, one below the
        hairline up to it. 0 ≤ s ≤ front to nape. Raises ValueError for another shape, a point that is not finite, or
        the middle of the head, which is on no such line.
        """
        points = np.asarray(points_mm, dtype=float)
        if points.ndim < 1 or points.shape[-1] != 3 or not np.isfinite(points).all():
            raise ValueError(f"points need three finite coordinates (x, y, z) each, got shape {points.shape}")
        normals = points / self.semi_axes_mm
        normals[..., 2] = np.maximum(normals[..., 2], 0)
        lengths = np.linalg.norm(normals, axis=-1, keepdims=True)
        if (lengths == 0).any():
            raise ValueError("the middle of the hairline plane is no point of the scalp")
        n_x, n_y, n_z = np.moveaxis(normals / lengths, -1, 0)
        phi = self._foot(n_x, n_z)
        a, _, c = self.semi_axes_mm
        square, p_middle, depth, half_width = self._section(phi)
        below = (np.cos(phi) - n_x) * np.cos(phi) + (np.sin(phi) - n_z) * np.sin(phi)  # p × square
        theta = np.arctan2(n_y * self.semi_axes_mm[1] / half_width, 1 - below / (square * p_middle))
        return np.stack([_arc(phi, a, c), _arc(theta, depth, half_width)], axis=-1)

    def points_at(self, tape_coordinates: ArrayLike) -> Floats:
        """Points (x, y, z) in mm of the scalp at (s, t); shape (..., 2) in and (..., 3) out.

        Inverse of `tape_coordinates` wherever (s, t) belongs to a point: s is brought into 0 ... front to nape, and t
        to where its plane reaches the hairline or the ear-to-ear plane, beyond which another foot is nearer.
        """
        wanted = np.asarray(tape_coordinates, dtype=float)
        if wanted.ndim < 1 or wanted.shape[-1] != 2 or not np.isfinite(wanted).all():
            raise ValueError(f"tape coordinates need two finite numbers (s, t) each, got shape {wanted.shape}")
        a, _, c = self.semi_axes_mm
        length = self.tapes_mm.front_to_nape_mm
        s = np.clip(wanted[..., 0], 0, length)
        phi = _arc_inverse(s, np.asarray(a), np.asarray(c), math.pi)
        phi = np.where(np.abs(s - length / 2) < _ON_THE_EAR_LINE * a, math.pi / 2, phi)
        _, p_middle, depth, half_width = self._section(phi)
        p_end = np.where(phi == math.pi / 2, c**2, min(a, c) ** 2)
        furthest = np.arccos(np.clip(1 - p_end / p_middle, 0, 1))
        theta = _arc_inverse(np.abs(wanted[..., 1]), depth, half_width, furthest)
        p = p_middle * (1 - np.cos(theta))
        x, z = a * np.cos(phi) * (1 - p / a**2), c * np.sin(phi) * (1 - p / c**2)
        return np.stack([x, np.sign(wanted[..., 1]) * half_width * np.sin(theta), np.maximum(z, 0)], axis=-1)

    def _stretch(self, normals: Floats) -> Floats:
        """mm² of the ellipsoid over one unit of area of the sphere, at unit normals (..., 3)."""
        a, b, c = self.semi_axes_mm
        return np.asarray(np.linalg.norm(normals * (b * c, a * c, a * b), axis=-1))

    def _foot(self, n_x: Floats, n_z: Floats) -> Floats:
        """Eccentric angle φ (0 front hairline, π nape) of the midline point whose normal plane holds (x, z).

        n_x = x/a, n_z = z/c with n_z ≥ 0. On its own half, front or back, a point has exactly one such φ: there
        a² n_x / cos φ − c² n_z / sin φ + c² − a² = 0 grows with φ from minus to plus infinity.
        """
        a, _, c = self.semi_axes_mm
        across = a**2 * np.abs(n_x)
        up = c**2 * np.maximum(n_z, 1e-14)  # keeps the hairline's own points to the foot their neighbours have
        low, high = np.zeros_like(across), np.full_like(across, math.pi / 2)
        phi = np.arctan2(n_z, np.abs(n_x))
        for _ in range(_MOST_STEPS):
            sine, cosine = np.sin(phi), np.cos(phi)
            value = across * sine - up * cosine + (c**2 - a**2) * sine * cosine
            low, high = np.where(value <= 0, phi, low), np.where(value >= 0, phi, high)
            slope = across * cosine + up * sine + (c**2 - a**2) * (cosine**2 - sine**2)
            newton = phi - value / np.where(slope == 0, 1, slope)
            following = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
            settled = np.abs(following - phi).max(initial=0) < _SETTLED
            phi = following
            if settled:
                break
        phi = np.where(np.abs(n_x) < _ON_THE_EAR_LINE, math.pi / 2, phi)
        return np.where(n_x < 0, math.pi - phi, phi)

    def _section(self, phi: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """The ellipse in which the plane square on the midline at φ cuts the ellipsoid.

        In that plane a point is p (cos φ/a, sin φ/c) below the midline and y beside it. Returns |(cos φ/a, sin φ/c)|²,
        the p of the ellipse's middle, and its semi-axes in mm along p (depth) and along y (half-width).
        """
        a, b, c = self.semi_axes_mm
        square = (np.cos(phi) / a) ** 2 + (np.sin(phi) / c) ** 2
        fourth = np.cos(phi) ** 2 / a**4 + np.sin(phi) ** 2 / c**4
        p_middle = square / fourth
        return square, p_middle, p_middle * np.sqrt(square), b * square / np.sqrt(fourth)


def _arc(angle: Floats, p: ArrayLike, q: ArrayLike) -> Floats:
    """Arc of the ellipse (p cos, q sin) from angle 0: q E(angle | 1 − p²/q²)."""
    from scipy.special import ellipeinc

    return np.asarray(q * ellipeinc(angle, 1 - (np.asarray(p) / q) ** 2))


def _arc_inverse(arc: Floats, p: Floats, q: Floats, furthest: ArrayLike) -> Floats:
    """The angle in 0 ... furthest at which the ellipse (p cos, q sin) has run `arc`; the ends for arcs beyond them."""
    low = np.zeros(np.broadcast_shapes(arc.shape, p.shape))
    high = np.broadcast_to(np.asarray(furthest, dtype=float), low.shape)
    angle = high / 2
    for _ in range(_MOST_STEPS):
        excess = _arc(angle, p, q) - arc
        low, high = np.where(excess <= 0, angle, low), np.where(excess >= 0, angle, high)
        newton = angle - excess / np.hypot(p * np.sin(angle), q * np.cos(angle))
        following = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        settled = np.abs(following - angle).max(initial=0) < _SETTLED
        angle = following
        if settled:
            break
    return angle


def _frozen(array: Floats) -> Floats:
    array.setflags(write=False)
    return array
