"""Where the 24 patches of a chart are on a photo, from the middles of its four corner patches, and how they read.

The corners may be marked in any order and the chart may hang upside down, on its side or be mirrored (a front camera
does that). The perspective that the four middles fix says where the other patches are; of the eight ways to lay the
chart on them, the one whose colours a linear 3 × 3 explains best is taken. Leaves the correction to `correction`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.charts import COLUMNS, ROWS
from salon.colour.correction import FEWEST_PATCHES, lab_from_linear, usable_patches, weighted_fits, weights_of
from salon.colour.difference import ciede2000
from salon.colour.lab import LINEAR_RGB_OF_XYZ, lab_from_xyz
from salon.colour.regions import LINEAR_OF_CODE, OF_CARDS, Codes, summed_up

Array = NDArray[np.float64]

SMALLEST_PATCH = 10.0  # pixels from one patch's middle to the next: fewer leave too little inside a patch
PART_SAMPLED = 0.25  # of that distance, to either side of a middle: half the patch, clear of its edges
ACROSS = 21  # samples of a patch each way
ACROSS_IN_SEARCH = 5


def patches_of(pixels: Codes, corners: ArrayLike, reference_xyz: Array) -> Array:
    """The 24 patches in the chart's order, in linear light, shape (24, 3).

    corners: shape (4, 2), x and y in pixels, in any order. Where every way to lay the chart leaves fewer patches than a
    fit needs, they come in one of the ways. Raises ValueError, with what is wrong, for corners that are no chart's.
    """
    around = _in_turn(np.asarray(corners, dtype=np.float64))
    ways = [np.roll(turned, -first, axis=0) for turned in (around, around[::-1]) for first in range(4)]
    coarse = [np.median(LINEAR_OF_CODE[_sampled(pixels, way, ACROSS_IN_SEARCH)], axis=1) for way in ways]
    misfits = [_misfit(patches, reference_xyz) for patches in coarse]
    samples = _sampled(pixels, ways[int(np.argmin(misfits))], ACROSS)
    return np.stack([summed_up(of_one, OF_CARDS).linear for of_one in samples])


def chart_places(corners: ArrayLike, places: ArrayLike) -> Array:
    """Places on a photo of places on the chart, through the perspective that its four corner patches fix.

    corners: shape (4, 2), the middles of the patches top left, top right, bottom right and bottom left on the photo.
    places: shape (..., 2), columns and rows of the chart counted from the first patch's middle, (5, 3) for the last
    one's. Returns shape (..., 2). Raises numpy.linalg.LinAlgError for three corners in one line.
    """
    ends = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, ROWS - 1], [0, ROWS - 1]], dtype=np.float64)
    right = np.asarray(corners, dtype=np.float64)
    equations = np.zeros((8, 8))
    for row, ((across, down), (x, y)) in enumerate(zip(ends, right, strict=True)):
        equations[2 * row] = [across, down, 1, 0, 0, 0, -x * across, -x * down]
        equations[2 * row + 1] = [0, 0, 0, across, down, 1, -y * across, -y * down]
    to_photo = np.append(np.linalg.solve(equations, right.ravel()), 1.0).reshape(3, 3)
    on_chart = np.asarray(places, dtype=np.float64)
    homogeneous = on_chart @ to_photo[:, :2].T + to_photo[:, 2]
    mapped: Array = homogeneous[..., :2] / homogeneous[..., 2:]
    return mapped


def _in_turn(corners: Array) -> Array:
    """The corners in the order they lie around their middle; ValueError unless they span a chart."""
    away = corners - corners.mean(axis=0)
    around = corners[np.argsort(np.arctan2(away[:, 1], away[:, 0]))]
    sides = np.roll(around, -1, axis=0) - around
    if np.hypot(*sides.T).min() < SMALLEST_PATCH * (ROWS - 1):
        raise ValueError("the chart is too small on the photo, or two marks lie on the same patch")
    turns = sides[:, 0] * np.roll(sides, -1, axis=0)[:, 1] - sides[:, 1] * np.roll(sides, -1, axis=0)[:, 0]
    if turns.min() <= 0.05 * turns.max():  # twice the triangles at the corners: one in a line or inside is no corner
        raise ValueError("one of the four marks lies between the others, where a chart has no corner")
    return around


def _sampled(pixels: Codes, corners: Array, across: int) -> Codes:
    """Samples of the 24 patches, shape (24, across², 3); a place off the photo takes the photo's nearest pixel."""
    columns, rows = np.meshgrid(np.arange(COLUMNS), np.arange(ROWS))
    middles = np.stack([columns, rows], axis=-1).reshape(-1, 1, 2)
    steps = np.linspace(-PART_SAMPLED, PART_SAMPLED, across)
    around = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(1, -1, 2)
    places = chart_places(corners, middles + around)
    height, width = pixels.shape[:2]
    x, y = np.clip(places, 0, [width - 1, height - 1]).astype(np.intp).transpose(2, 0, 1)
    found: Codes = pixels[y, x]
    return found


def _misfit(patches: Array, reference_xyz: Array) -> float:
    """How badly a linear 3 × 3 explains the patches, ΔE00; infinite where too few can be used."""
    used = usable_patches(patches)
    if used.sum() < FEWEST_PATCHES:
        return np.inf
    aim = reference_xyz[used]
    _, left_out = weighted_fits(patches[used][None], aim @ LINEAR_RGB_OF_XYZ.T, weights_of(aim))
    return float(np.sqrt(np.mean(ciede2000(lab_from_linear(left_out[0]), lab_from_xyz(aim)) ** 2)))
