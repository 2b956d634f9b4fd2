"""What does a loss map say within its cells?

A cell holds one number, the mean of what lies in it. Where thinning ends inside a cell, that cell is not half thin all
over, it is thin on one side. So a cell on a sharp edge is shared out over its samples (`grid.samples`): those towards
the neighbours with more loss take the highest loss found next door, the others the lowest, as many of each as keep the
cell's own mean. An edge is sharp when two cells away there is no more and no less than next door; where loss fades out
gently, and where a cell is itself the highest or lowest, the cell is even.

Percent. The idea is that of interface reconstruction from volume fractions: Youngs D. L., Time-dependent multi-material
flow with large fluid distortion, in Numerical Methods for Fluid Dynamics (1982) 273-285 (MEMORY).
"""

import numpy as np

from clients.scalp.grid import GRID, INSIDE, Floats, disk_coordinates, samples
from clients.scalp.loss_map import LossMap

_GENTLE, _SHARP = 0.6, 0.9  # of the spread two cells away that is reached next door: 0.5 on an even slope, 1 on an edge
_EVEN = 1e-6  # percent


def loss_at_samples(loss_map: LossMap) -> Floats:
    """Percent lost at each of `grid.samples()`, shape (n,); the mean over each cell is the cell's own."""
    cell, normals = samples()
    around = _neighbours(loss_map.loss)
    loss, lowest, highest, sharp = (one.ravel() for one in (loss_map.loss, *next_door(loss_map)))
    split = (sharp > 0) & (loss > lowest + _EVEN) & (loss < highest - _EVEN)
    found = loss[cell]
    mixed = np.flatnonzero(split[cell])
    of = cell[mixed]
    # X grows towards row 0 and Y towards column 0; the cells straight ahead and behind count twice
    more_in_front = (around[:3].sum(axis=0) + around[1] - around[6:].sum(axis=0) - around[7]).ravel()
    more_to_left = (around[0::3].sum(axis=0) + around[3] - around[2::3].sum(axis=0) - around[5]).ravel()
    x, y = disk_coordinates(normals[mixed]).T
    order = np.lexsort((-(more_in_front[of] * x + more_to_left[of] * y), of))
    mixed, of = mixed[order], of[order]
    nearer_to_more = np.arange(len(of)) - np.searchsorted(of, of)
    wanted = (loss[of] - lowest[of]) / (highest[of] - lowest[of]) * np.bincount(of, minlength=GRID * GRID)[of]
    split_in_two = lowest[of] + (highest[of] - lowest[of]) * np.clip(wanted - nearer_to_more, 0, 1)
    found[mixed] += sharp[of] * (split_in_two - found[mixed])
    return found


def next_door(loss_map: LossMap) -> tuple[Floats, Floats, Floats]:
    """The lowest and the highest loss in and next to each cell, and how sharp the edge is there, each (64, 64).

    Sharpness runs from 0 (loss fades out, or there is no edge) to 1 (an edge within a cell).
    """
    around = _neighbours(loss_map.loss)
    lowest, highest = around.min(axis=0), around.max(axis=0)
    further = _neighbours(highest).max(axis=0) - _neighbours(lowest).min(axis=0)
    reached = np.divide(highest - lowest, further, out=np.zeros_like(further), where=further > _EVEN)
    return lowest, highest, np.asarray(np.clip((reached - _GENTLE) / (_SHARP - _GENTLE), 0, 1))


def _neighbours(values: Floats) -> Floats:
    """Each cell and the eight round it, (9, 64, 64), row by row; a cell's own value stands for what is no scalp."""
    padded, inside = np.pad(values, 1), np.pad(INSIDE, 1)
    views = [np.s_[row : row + GRID, column : column + GRID] for row in range(3) for column in range(3)]
    return np.stack([np.where(inside[view], padded[view], values) for view in views])
