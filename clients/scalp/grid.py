"""Where are the 64 × 64 cells of a loss map on the unit hemisphere?

The scalp is stored on an equal-area (Lambert azimuthal) disk, so that every cell stands for the same piece of the unit
hemisphere whatever the head. X points forward (row 0 is the forehead), Y to the client's left (column 0). A cell counts
as scalp when its centre lies in the unit disk; there are no part cells. How large a cell is on one head is `head`'s to
say, what it holds `loss_map`'s. All numbers here are pure (no unit).

Source of the projection: J. H. Lambert (1772); Snyder, "Map Projections: A Working Manual", USGS Professional Paper
1395 (1987), eq. 24-2 to 24-4 (MEMORY), written for the upper hemisphere with the disk's radius brought to 1.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GRID = 64
CELL_SOLID_AREA = 2 * (2 / GRID) ** 2  # of the unit hemisphere (2π in all over the disk's π)


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


@lru_cache
def samples_in_cells(per_side: int) -> Floats:
    """Unit vectors of per_side × per_side points spread evenly over every cell, shape (64, 64, per_side², 3).

    For what has to be finer than a cell: each point stands for an equal share of its cell. Points of rim cells that
    would lie outside the disk sit on its rim.
    """
    offsets = ((2 * np.arange(per_side) + 1) / per_side - 1) / GRID
    x = DISK_X[:, :, None] + np.repeat(offsets, per_side)
    y = DISK_Y[:, :, None] + np.tile(offsets, per_side)
    found = unit_normals(x, y)
    _read_only(found)
    return found


def _read_only(array: NDArray[np.generic]) -> None:
    array.setflags(write=False)


_centres = 1 - (2 * np.arange(GRID) + 1) / GRID
DISK_X, DISK_Y = (np.ascontiguousarray(axis) for axis in np.meshgrid(_centres, _centres, indexing="ij"))
INSIDE: NDArray[np.bool_] = DISK_X**2 + DISK_Y**2 <= 1
UNIT_NORMALS = unit_normals(DISK_X, DISK_Y)  # cells outside the disk take the rim's
for _array in (DISK_X, DISK_Y, INSIDE, UNIT_NORMALS):
    _read_only(_array)
