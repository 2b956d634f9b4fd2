"""Where does a field on the cells of the scalp fall in a picture: its values between cells, its outlines, its shadow?

Shared by the drawings of remaining hair and of its change. Pure arrays and SVG; colours and words are the drawings'.
"""

from typing import Final

import numpy as np

from clients.scalp.contours import outlines_at_least
from clients.scalp.grid import GRID, INSIDE, Floats
from clients.scalp.svg import path

_SHADE: Final = 0.3  # opacity where the scalp turns away


def values_at(cells: Floats, disk: Floats) -> Floats:
    """The field at disk points (..., 2), between cells by bilinear weights; only cells of the scalp count."""
    value, weight = (_softened(np.pad(part, 2)) for part in (cells * INSIDE, INSIDE.astype(float)))
    place = (1 - disk) * (GRID / 2) + 1.5  # in the padded grid the centres of cells are whole numbers
    low = np.floor(place).astype(int)
    share = place - low
    total, weights = np.zeros(disk.shape[:-1]), np.zeros(disk.shape[:-1])
    for i in (0, 1):
        for j in (0, 1):
            part = np.abs(1 - i - share[..., 0]) * np.abs(1 - j - share[..., 1])
            at = (low[..., 0] + i, low[..., 1] + j)
            total += part * value[at]
            weights += part * weight[at]
    return total / weights


def on_picture(picture: Floats, outlines: list[Floats]) -> list[Floats]:
    """Outlines in grid units, taken to the picture by bilinear weights between its grid of points."""
    laid = []
    for outline in outlines:
        row, column = np.minimum(np.floor(outline).astype(int), np.array(picture.shape[:2]) - 2).T
        down, across = (outline - np.stack([row, column], axis=-1)).T[..., None]
        upper = picture[row, column] * (1 - across) + picture[row, column + 1] * across
        lower = picture[row + 1, column] * (1 - across) + picture[row + 1, column + 1] * across
        laid.append(upper * (1 - down) + lower * down)
    return laid


def shades(facing: Floats, picture: Floats, tones: int) -> str:
    """Shadow towards the outline, a little deeper at every tone, from where the scalp faces the viewer by half."""
    drawn = [
        path(on_picture(picture, outlines_at_least(-facing, -level)), closed=True, kind="scalp-shade", fill="#2a1a10")
        for level in np.linspace(0.5, 0.1, tones)
    ]
    return f'<g fill-opacity="{_SHADE / tones:g}">{"".join(drawn)}</g>'


def _softened(cells: Floats) -> Floats:
    """Each cell mixed with its neighbours, 1 : 2 : 1 both ways, so that a painted edge is drawn without its stairs."""
    for axis in (0, 1):
        cells = (np.roll(cells, 1, axis) + 2 * cells + np.roll(cells, -1, axis)) / 4
    return cells
