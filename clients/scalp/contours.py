"""Where does a field on a grid pass a level: closed outlines for drawings.

Marching squares (W. E. Lorensen and H. E. Cline 1987 in the plane, MEMORY) with linear interpolation. The rim of the
grid counts as a border, so every outline closes. Pure arrays, positions in grid units; where the grid lies on a head or
on paper is `drawing`'s to say.
"""

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import Floats

_TOP, _RIGHT, _BOTTOM, _LEFT = range(4)


def outlines_at_least(values: Floats, level: float) -> list[Floats]:
    """Closed outlines round the parts of the grid where the value is at least `level`.

    values: shape (rows, columns), finite. Returns arrays of shape (n, 2) of (row, column), fractional, within the grid;
    the last point is not the first one again. Holes are outlines of their own: fill by the even-odd rule.
    """
    rows, columns = values.shape
    padded = np.pad(values, 1, constant_values=level - 1)
    within = padded >= level
    following = _links(padded, within, level)
    crossings = _crossings(padded, within, level)
    position = np.clip(crossings - 1, 0, (rows - 1, columns - 1))  # what crosses to the padding lies on the rim
    outlines = []
    for start in list(following):
        loop = []
        edge = following.pop(start, None)
        while edge is not None:
            loop.append(edge)
            edge = following.pop(edge, None)
        if len(loop) > 2:
            outlines.append(position[loop])
    return outlines


def _crossings(padded: Floats, within: NDArray[np.bool_], level: float) -> Floats:
    """Where each edge of the padded grid is crossed: first all edges along rows, then all along columns; (n, 2)."""
    row, column = np.indices(padded.shape, dtype=float)
    along, down = (_share(padded, within, level, axis) for axis in (1, 0))
    on_rows = np.stack([row[:, :-1], column[:, :-1] + along], axis=-1)
    on_columns = np.stack([row[:-1] + down, column[:-1]], axis=-1)
    return np.concatenate([on_rows.reshape(-1, 2), on_columns.reshape(-1, 2)])


def _share(padded: Floats, within: NDArray[np.bool_], level: float, axis: int) -> Floats:
    """How far along each edge of one direction the level is met; 0 where it is not."""
    rise = np.diff(padded, axis=axis)
    crossed = np.diff(within, axis=axis)
    from_corner = padded[:, :-1] if axis else padded[:-1]
    return np.divide(level - from_corner, rise, out=np.zeros_like(rise), where=crossed)


def _links(padded: Floats, within: NDArray[np.bool_], level: float) -> dict[int, int]:
    """From each crossed edge to the next one along the outline, by their numbers in `_crossings`."""
    rows, columns = padded.shape
    corners = np.stack([within[:-1, :-1], within[:-1, 1:], within[1:, 1:], within[1:, :-1]])  # clockwise
    after = np.roll(corners, -1, axis=0)
    leaves, enters = corners & ~after, ~corners & after  # along the top, right, bottom and left edge, clockwise
    row, column = np.indices((rows - 1, columns - 1))
    along = row * (columns - 1) + column
    down = rows * (columns - 1) + row * columns + column
    edges = np.stack([along, down + 1, along + columns - 1, down])
    crossed = leaves.sum(axis=0)
    following: dict[int, int] = {}
    once = crossed == 1
    start = np.take_along_axis(edges, enters.argmax(axis=0)[None], axis=0)[0][once]
    end = np.take_along_axis(edges, leaves.argmax(axis=0)[None], axis=0)[0][once]
    following.update(zip(start.tolist(), end.tolist(), strict=True))
    for i, j in np.argwhere(crossed == 2):  # a saddle: its middle says which corners belong together
        turn = -1 if padded[i : i + 2, j : j + 2].mean() >= level else 1
        for side in np.flatnonzero(enters[:, i, j]):
            following[int(edges[side, i, j])] = int(edges[(side + turn) % 4, i, j])
    return following
