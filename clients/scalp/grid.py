"""Where are the 64 × 64 cells of a loss map on the unit hemisphere?

The scalp is stored on an equal-area (Lambert azimuthal) disk, so that every cell stands for the same piece of the unit
hemisphere whatever the head. X points forward (row 0 is the forehead), Y to the client's left (column 0). A cell counts
as scalp when its centre lies in the unit disk; there are no part cells. How large a cell is on one head is `head`'s to
say, what it holds `loss_map`'s. All numbers here are pure (no unit).

Source of the projection: J. H. Lambert (1772); Snyder, "Map Projections: A Working Manual", USGS Professional Paper
1395 (1987), eq. 24-2 to 24-4 (MEMORY), written for the upper hemisphere with the disk's radius brought to 1.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GRID = 64
CELL_SOLID_AREA = 2 * (2 / GRID) ** 2  # of the unit hemisphere (2π in all over the disk's π)
SAMPLES_A_SIDE = 6  # of a cell, for what has to be finer than a cell
SAMPLE_SOLID_AREA = CELL_SOLID_AREA / SAMPLES_A_SIDE**2


def unit_normals(disk_x: ArrayLike, disk_y: ArrayLike) -> Floats:
    """Unit vectors (n_x forward, n_y left, n_z up) that belong to points of the disk.

    disk_x, disk_y: one shape, or shapes that broadcast; points outside the disk are moved to its rim first.
    Returns shape (..., 3). Inverse of `disk_coordinates`.
    >>> unit_normals(0.0, 0.0).tolist()
    [0.0, 0.0, 1.0]
    """
    x, y = np.broadcast_arrays(np.asarray(disk_x, dtype=float), np.asarray(disk_y, dtype=float))
    shrink = 1 / np.maximum(np.hypot(x, y), 1)
    x, y = x * shrink, y * shrink
    r2 = np.minimum(x**2 + y**2, 1)
    stretch = np.sqrt(2 - r2)
    return np.stack([x * stretch, y * stretch, 1 - r2], axis=-1)


def disk_coordinates(normals: ArrayLike) -> Floats:
    """Disk points (X, Y) of unit vectors with n_z ≥ 0; shape (..., 3) in, (..., 2) out."""
    n = np.asarray(normals, dtype=float)
    return np.asarray(n[..., :2] / np.sqrt(1 + n[..., 2:]))


def _read_only(array: NDArray[np.generic]) -> None:
    array.setflags(write=False)


_centres = 1 - (2 * np.arange(GRID) + 1) / GRID
DISK_X, DISK_Y = (np.ascontiguousarray(axis) for axis in np.meshgrid(_centres, _centres, indexing="ij"))
INSIDE: NDArray[np.bool_] = DISK_X**2 + DISK_Y**2 <= 1
UNIT_NORMALS = unit_normals(DISK_X, DISK_Y)  # cells outside the disk take the rim's
for _array in (DISK_X, DISK_Y, INSIDE, UNIT_NORMALS):
    _read_only(_array)


class Samples(NamedTuple):
    """Points spread evenly over the disk, 6 × 6 a cell: the cell each belongs to and its unit normal.

    cell: (n,), index into the 64 × 64 cells laid out in one row, always of a cell inside. normals: (n, 3). The first
    quarter is front left; its mirror images follow in the same order: front right, back left, back right.
    """

    cell: NDArray[np.intp]
    normals: Floats


@lru_cache(maxsize=1)
def samples() -> Samples:
    """The samples; slivers of the disk in cells that are not inside belong to the nearest cell that is."""
    half, fine = GRID // 2, GRID // 2 * SAMPLES_A_SIDE
    middles = 1 - (2 * np.arange(fine) + 1) / (2 * fine)  # front to middle, left to middle
    x, y = np.meshgrid(middles, middles, indexing="ij")
    on_disk = x**2 + y**2 <= 1
    row, column = (index[on_disk] // SAMPLES_A_SIDE for index in np.indices(x.shape))
    x, y = x[on_disk], y[on_disk]
    inside = np.argwhere(INSIDE[:half, :half])
    stray = np.flatnonzero(~INSIDE[row, column])
    centres = _centres[inside]
    nearest = np.hypot(x[stray, None] - centres[:, 0], y[stray, None] - centres[:, 1]).argmin(axis=1)
    row[stray], column[stray] = inside[nearest].T
    normals = unit_normals(x, y)
    last = GRID - 1
    cells = [i * GRID + j for i in (row, last - row) for j in (column, last - column)]
    mirrored = [normals * (forward, leftward, 1) for forward in (1, -1) for leftward in (1, -1)]
    found = Samples(np.concatenate(cells), np.concatenate(mirrored))
    for array in found:
        _read_only(array)
    return found
