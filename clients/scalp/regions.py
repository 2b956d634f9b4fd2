"""Which part of the head is this: nine zones, named as a stylist points to them.

The zones are cut by fixed thresholds on the unit normal (n_x forward, n_y to the client's left, n_z up from the
hairline plane), so they are the same cells on every head and their centimetres grow with it. In millimetres on the
assumed head (559/356/343 mm):

- front: the first 48 mm behind the front hairline, 45 mm to each side of its middle
- temples: beside it, round to 32 mm before the ear-to-ear tape, up to 67 mm from the hairline
- mid-scalp: behind the front to 5 mm behind the ear-to-ear tape, 64 mm out to each side
- crown: from there to 250 mm along the midline (70 %), about the whorl
- left and right side: above the ears
- back: below the crown and behind the ears
- nape: the last 37 mm above the nape hairline

Where the trade draws these lines is habit (common practice, no source); the scalp is divided otherwise for the SALT
score, which `salt` does by its own publication. Densities are percent of hair remaining.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import GRID, INSIDE, UNIT_NORMALS, Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap


class Zone(NamedTuple):
    """One of the nine zones; `key` is for forms and stored text, `label` for people."""

    key: str
    label: str


ZONES = (
    Zone("front", "Front"),
    Zone("left-temple", "Left temple"),
    Zone("right-temple", "Right temple"),
    Zone("mid-scalp", "Mid-scalp"),
    Zone("left-side", "Left side"),
    Zone("right-side", "Right side"),
    Zone("crown", "Crown"),
    Zone("back", "Back"),
    Zone("nape", "Nape"),
)
_FRONT, _TEMPLES, _MID_SCALP, _SIDES, _CROWN, _BACK, _NAPE = 0, 1, 3, 4, 6, 7, 8  # a right one follows its left one

_FRONT_HEIGHT, _FRONT_HALF_WIDTH = 0.36, 0.50
_TEMPLE_HEIGHT, _TEMPLE_REACH = 0.50, 0.34
_TOP_HALF_WIDTH = 0.64
_CROWN_START, _CROWN_END = -0.05, -0.66
_SIDE_END = -0.45
_NAPE_HEIGHT = 0.28


def _zone_of_cell() -> NDArray[np.int8]:
    n_x, n_y, n_z = np.moveaxis(UNIT_NORMALS, -1, 0)
    outward = np.abs(n_y)
    on_top = outward < _TOP_HALF_WIDTH
    zones = np.select(
        [
            (n_x > 0) & (n_z < _FRONT_HEIGHT) & (outward < _FRONT_HALF_WIDTH),
            (n_x >= _TEMPLE_REACH) & (n_z < _TEMPLE_HEIGHT) & (outward >= _FRONT_HALF_WIDTH),
            (n_x < _SIDE_END) & (n_z < _NAPE_HEIGHT),
            (n_x >= _SIDE_END) & ~on_top,
            (n_x >= _CROWN_START) & on_top,
            (n_x >= _CROWN_END) & on_top,
        ],
        [_FRONT, _TEMPLES, _NAPE, _SIDES, _MID_SCALP, _CROWN],
        default=_BACK,
    )
    paired = (zones == _TEMPLES) | (zones == _SIDES)
    zones = zones + (paired & (n_y < 0))
    return np.where(INSIDE, zones, -1).astype(np.int8)


ZONE_OF_CELL = _zone_of_cell()
"""(64, 64) index into ZONES of each cell, -1 outside the disk."""
ZONE_OF_CELL.setflags(write=False)


def zone_borders() -> list[Floats]:
    """The lines between the zones, as unit normals: arrays of shape (n, 3), for drawings."""
    temple_x = math.sqrt(1 - _TEMPLE_HEIGHT**2 - _TOP_HALF_WIDTH**2)
    borders = [
        _border((2, _FRONT_HEIGHT), (1, -_FRONT_HALF_WIDTH, _FRONT_HALF_WIDTH), 1),
        _border((0, _CROWN_START), (1, -_TOP_HALF_WIDTH, _TOP_HALF_WIDTH), 1),
        _border((0, _CROWN_END), (1, -_TOP_HALF_WIDTH, _TOP_HALF_WIDTH), 1),
    ]
    nape_y = math.sqrt(1 - _NAPE_HEIGHT**2 - _SIDE_END**2)
    borders.append(_border((2, _NAPE_HEIGHT), (1, -nape_y, nape_y), -1))
    for side in (1, -1):
        borders += [
            _border((1, side * _FRONT_HALF_WIDTH), (2, 0, _TEMPLE_HEIGHT), 1),
            _border((2, _TEMPLE_HEIGHT), (1, side * _FRONT_HALF_WIDTH, side * _temple_corner_y()), 1),
            _border((0, _TEMPLE_REACH), (2, 0, _TEMPLE_HEIGHT), side),
            _border((1, side * _TOP_HALF_WIDTH), (0, _CROWN_END, temple_x), 1),
            _border((0, _SIDE_END), (2, 0, math.sqrt(1 - _SIDE_END**2 - _TOP_HALF_WIDTH**2)), side),
        ]
    return borders


def _temple_corner_y() -> float:
    return math.sqrt(1 - _TEMPLE_HEIGHT**2 - _TEMPLE_REACH**2)


def _border(fixed: tuple[int, float], along: tuple[int, float, float], sign: int) -> Floats:
    """Unit normals with one component fixed, a second running from one value to another, the third of that sign."""
    normals = np.zeros((32, 3))
    normals[:, fixed[0]] = fixed[1]
    normals[:, along[0]] = np.linspace(along[1], along[2], len(normals))
    normals[:, 3 - fixed[0] - along[0]] = sign * np.sqrt(np.maximum(1 - np.sum(normals**2, axis=1), 0))
    return normals


def zone_means(loss_map: LossMap, head: Head) -> dict[str, float]:
    """Mean percent of hair remaining in each zone, by its key, weighted by area on this head."""
    zones, areas = ZONE_OF_CELL[INSIDE], head.cell_areas_cm2[INSIDE]
    area_of_zone = np.bincount(zones, areas, len(ZONES))
    hair_of_zone = np.bincount(zones, areas * loss_map.density[INSIDE], len(ZONES))
    return {zone.key: round(float(mean), 9) for zone, mean in zip(ZONES, hair_of_zone / area_of_zone, strict=True)}


def loss_map_from_zones(percent_by_key: Mapping[str, float]) -> LossMap:
    """The loss map in which each zone has one density throughout: the way to fill a map without drawing.

    percent_by_key: percent of hair remaining, for all nine keys of ZONES. Raises ValueError that names a missing or
    unknown zone, or one whose number is not from 0 to 100.
    """
    keys = [zone.key for zone in ZONES]
    if missing := [zone.label for zone in ZONES if zone.key not in percent_by_key]:
        raise ValueError(f"Remaining hair is missing for: {', '.join(missing)}. Write 0 to 100 for each zone.")
    if unknown := sorted(set(percent_by_key) - set(keys)):
        raise ValueError(f"Not a zone: {', '.join(unknown)}. The zones are: {', '.join(keys)}.")
    for zone in ZONES:
        if not 0 <= percent_by_key[zone.key] <= 100:
            raise ValueError(f"{zone.label}: {percent_by_key[zone.key]} is not a percentage. Write 0 to 100.")
    density = np.full((GRID, GRID), 100.0)
    density[INSIDE] = np.array([percent_by_key[key] for key in keys], dtype=float)[ZONE_OF_CELL[INSIDE]]
    return LossMap(density)
