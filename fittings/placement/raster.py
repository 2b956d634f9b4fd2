"""How much loss, own hair and scalp lies under any base on one head, fast enough to try them all?

The scalp is laid out in tape coordinates as a raster: rows along the midline (s), bins to either side (t), both in step
with the head's size so that a head and a base grown together give the same numbers. Every map cell is spread over its
6 × 6 samples (`clients.scalp.grid`), each with its own area and loss (`clients.scalp.fine_map`); the slivers of scalp
between the rim and the cells inside belong to the nearest cell, so that the hairline is where the tape says. Bins are
summed up from right to left, so that what lies between two t of a row is one subtraction, interpolated within a bin. A
base takes or leaves a row as a whole (a row is about 1 mm).

The plain way, one comparison a point, is the reference in tests/published and tests/benchmarks. Millimetres, cm².
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clients.scalp.fine_map import loss_at_samples
from clients.scalp.grid import Floats, samples
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONE_OF_CELL, ZONES
from pieces.bases.construction import Clip

Ints = NDArray[np.int32]

REGIONS: Final = ("front", "temples", "mid-scalp", "crown", "back", "sides")
_REGION_OF_ZONE: Final = {
    "left-temple": "temples",
    "right-temple": "temples",
    "left-side": "sides",
    "right-side": "sides",
    "nape": "back",
}
NOTHING_CM2: Final = 1e-9  # what rounding leaves of sums of floats
ROWS: Final = 360
BINS: Final = 400
_STEPS_TO_REACH = 400  # half-widths are told apart to this share of the furthest t
_PROFILE_POINTS_A_ROW = 4
_CLIP_DEPTH_MM = 10.0  # what a clip of any length grips across it, common practice
_OWN, _SCALP = len(REGIONS), len(REGIONS) + 1  # channels after the loss of each region


class Outline(Protocol):
    """What placing asks of an outline; `pieces.bases.outline.BaseOutline` is one."""

    @property
    def length_mm(self) -> float: ...
    @property
    def width_mm(self) -> float: ...
    def half_width_mm(self, u_mm: Floats, /) -> ArrayLike: ...


@dataclass(frozen=True)
class Under:
    """What lies under a base, in cm²: loss by region, own hair and scalp, each weighed by its percent."""

    loss_by_region: Floats
    own_hair: float
    scalp: float

    @property
    def loss(self) -> float:
        """The loss of all regions."""
        return float(self.loss_by_region.sum())


@dataclass(frozen=True)
class Profile:
    """A base sampled every `step_mm` from the edge that lies to the front: u and half-widths in mm."""

    u_mm: Floats
    half_widths_mm: Floats
    step_mm: float
    length_mm: float


class ScalpRaster:
    """One loss map on one head, summed up for placing; build it once (`scalp_raster` keeps the last few)."""

    def __init__(self, head: Head, loss_map: LossMap) -> None:
        """Takes some tens of milliseconds for a new head, a few for a new map on the same head."""
        self.head, self.loss_map = head, loss_map
        s, t = head.sample_tape_coordinates.T
        self.length_mm, self.reach_mm = head.tapes_mm.front_to_nape_mm, float(np.abs(t).max())
        self.row_mm, self.bin_mm = self.length_mm / ROWS, 2 * self.reach_mm / BINS
        self.width_step_mm = self.reach_mm / _STEPS_TO_REACH
        row = np.clip(s / self.row_mm, 0, ROWS - 1).astype(np.int32)
        place = row * BINS + np.clip((t + self.reach_mm) / self.bin_mm, 0, BINS - 1).astype(np.int32)
        cell, area, shape = samples().cell, head.sample_areas_cm2, (ROWS, BINS)
        lost = area * loss_at_samples(loss_map) / 100
        region = _region_of_cell().ravel()[cell]
        channels = [*_summed(place + region * (ROWS * BINS), lost, (len(REGIONS), *shape))]
        channels += [_summed(place, area - lost, shape), _summed(place, area, shape)]
        self._between = np.zeros((ROWS, BINS + 1, len(channels)))
        np.cumsum(np.stack(channels, axis=-1), axis=1, out=self._between[:, 1:])
        self.total = self._under(self._between[:, -1].sum(axis=0))

    def profile(self, outline: Outline, *, turned: bool) -> Profile:
        """Sample an outline from the edge that lies to the front; ValueError for one without extent."""
        length = float(outline.length_mm)
        if not (np.isfinite(length) and length > 0):
            raise ValueError(f"a base must have a length above zero, got {length:g} mm")
        step = self.row_mm / _PROFILE_POINTS_A_ROW
        u = np.arange(int(length / step + 1e-9) + 1, dtype=float) * step
        from_front = np.maximum(length - u, 0) if turned else u
        half_widths = np.asarray(outline.half_width_mm(from_front), dtype=float)
        return Profile(u, np.maximum(half_widths, 0), step, length)

    def width_steps(self, half_widths_mm: Floats) -> Ints:
        """Half-widths to the nearest step."""
        return np.rint(half_widths_mm / self.width_step_mm).astype(np.int32)

    def profile_index(self, u_mm: Floats) -> Ints:
        """Which sample of any profile is nearest to u."""
        return np.rint(u_mm * (_PROFILE_POINTS_A_ROW / self.row_mm)).astype(np.int32)

    @cached_property
    def row_middles_mm(self) -> Floats:
        """s of each row."""
        return np.asarray((np.arange(ROWS) + 0.5) * self.row_mm)

    def under(self, profile: Profile, set_back_mm: float, side_shift_mm: float) -> Under:
        """What lies under a base whose front edge is set back and whose midline is shifted (left positive)."""
        u = self.row_middles_mm - set_back_mm
        index = self.profile_index(u)
        rows = np.flatnonzero((u >= 0) & (index < len(profile.half_widths_mm)))
        half = np.asarray(self.width_steps(profile.half_widths_mm)[index[rows]], dtype=float) * self.width_step_mm
        found = self._up_to(rows, side_shift_mm + half) - self._up_to(rows, side_shift_mm - half)
        return self._under(found.sum(axis=0))

    def loss_and_own_hair(self, half_widths_mm: Floats, side_shifts_mm: Sequence[float]) -> NDArray[np.complex64]:
        """Loss (real) and own hair (imaginary) in cm² of each row within each half-width of each shift.

        Returns shape (ROWS + 1, half-widths, shifts); the row after the last is empty, for what hangs over the nape.
        """
        found = np.zeros((ROWS + 1, len(half_widths_mm), len(side_shifts_mm)), dtype=np.complex64)
        sums = self._between[..., :_OWN].sum(axis=-1) + 1j * self._between[..., _OWN]
        for index, shift in enumerate(side_shifts_mm):
            low, high = self._bin_position(shift - half_widths_mm), self._bin_position(shift + half_widths_mm)
            found[:ROWS, :, index] = _interpolated(sums, *high) - _interpolated(sums, *low)
        return found

    def density_under_clips(
        self,
        clips: Sequence[Clip],
        outline: Outline,
        set_backs_mm: ArrayLike,
        side_shifts_mm: ArrayLike,
        *,
        turned: bool,
    ) -> Floats:
        """Mean remaining hair in percent under each clip, shape (clips, set-backs, shifts); 0 off the scalp.

        A clip grips its length along the nearest edge of the base by 10 mm across it. Turned round, a base carries its
        clips with it: what was front left is back right.
        """
        u, v, length = np.array([(clip.u_mm, clip.v_mm, clip.length_mm) for clip in clips]).reshape(-1, 3).T
        if turned:
            u, v = outline.length_mm - u, -v
        beside = outline.width_mm / 2 - np.abs(v) < np.minimum(u, outline.length_mm - u)
        along, across = np.where(beside, length, _CLIP_DEPTH_MM) / 2, np.where(beside, _CLIP_DEPTH_MM, length) / 2
        s, t = u[:, None] + np.asarray(set_backs_mm, dtype=float), v[:, None] + np.asarray(side_shifts_mm, dtype=float)
        ends = np.array([-1.0, 1.0])[:, None, None]
        rows = _edge((s + ends * along[:, None]) / self.row_mm, ROWS)
        bins = _edge((t + self.reach_mm + ends * across[:, None]) / self.bin_mm, BINS)
        before = self._own_and_scalp_before.take(rows[:, None, :, :, None] * (BINS + 1) + bins[None, :, :, None, :])
        found = before[1, 1] - before[0, 1] - before[1, 0] + before[0, 0]
        own, scalp = found.real, found.imag
        density = np.where(scalp > NOTHING_CM2, 100 * own / np.maximum(scalp, NOTHING_CM2), 0.0)
        return np.asarray(np.round(density, 6))  # so that 40 % is 40 % and not a hair less

    @cached_property
    def _own_and_scalp_before(self) -> NDArray[np.complex128]:
        """Own hair (real) and scalp (imaginary) before each row edge and right of each bin edge."""
        found = np.zeros((ROWS + 1, BINS + 1), dtype=complex)
        np.cumsum(self._between[..., _OWN] + 1j * self._between[..., _SCALP], axis=0, out=found[1:])
        return found

    def _bin_position(self, t_mm: Floats) -> tuple[Ints, Floats]:
        position = np.clip((t_mm + self.reach_mm) / self.bin_mm, 0, BINS)
        whole = np.minimum(position.astype(np.int32), BINS - 1)
        return whole, position - whole

    def _up_to(self, rows: NDArray[np.intp], t_mm: Floats) -> Floats:
        """What each of the rows holds right of t, shape (rows, channels)."""
        whole, part = self._bin_position(t_mm)
        flat, index = self._between.reshape(ROWS * (BINS + 1), -1), rows * (BINS + 1) + whole
        before, after = flat.take(index, axis=0), flat.take(index + 1, axis=0)
        return before + (after - before) * part[:, None]

    @staticmethod
    def _under(channels: Floats) -> Under:
        return Under(channels[:_OWN], float(channels[_OWN]), float(channels[_SCALP]))


@lru_cache(maxsize=4)  # some ten megabytes each
def scalp_raster(head: Head, loss_map: LossMap) -> ScalpRaster:
    """The raster of a map on a head; the last few are kept, for one consult asks for the same again and again."""
    return ScalpRaster(head, loss_map)


@lru_cache(maxsize=1)
def _region_of_cell() -> Ints:
    """Index into REGIONS of each cell, (64, 64), -1 outside the disk."""
    of_zone = [REGIONS.index(_REGION_OF_ZONE.get(zone.key, zone.key)) for zone in ZONES]
    return np.append(of_zone, -1)[ZONE_OF_CELL].astype(np.int32)


def _edge(position: Floats, last: int) -> Ints:
    """The nearest edge of rows or bins, the first or last for what lies outside."""
    return np.minimum(np.maximum(np.rint(position), 0), last).astype(np.int32)


def _summed(place: Ints, weights: Floats, shape: tuple[int, ...]) -> Floats:
    """Sum of what each sample brings to its place, as an array of this shape."""
    return np.asarray(np.bincount(place, weights, minlength=int(np.prod(shape))), dtype=float).reshape(shape)


def _interpolated(sums: NDArray[np.complex128], whole: Ints, part: Floats) -> NDArray[np.complex128]:
    before, after = sums[:, whole], sums[:, whole + 1]
    return np.asarray(before + (after - before) * part)
