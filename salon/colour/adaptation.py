"""Which XYZ looks under one white as another XYZ did under another white: Bradford's way.

Charts are published under D50, everything else here is D65. XYZ has Y = 1 for white; arrays have the three channels
along the last axis.

Sources: the cone matrix and the white of D50 as in colour-science 0.4.7 (adaptation/datasets/cat.py and
adaptation/tests/test_vonkries.py, read); the white of D65 is `lab`'s.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.lab import WHITE_D65

Array = NDArray[np.float64]

WHITE_D50 = np.array([0.96429568, 1.0, 0.82510460])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def adapted(xyz: ArrayLike, *, seen_under: Array, to: Array) -> Array:
    """XYZ under the white `to` of XYZ seen under another white; shape (..., 3) to (..., 3).

    >>> [round(float(value), 4) for value in adapted(WHITE_D65, seen_under=WHITE_D65, to=WHITE_D50)]
    [0.9643, 1.0, 0.8251]
    """
    gains = (BRADFORD @ to) / (BRADFORD @ seen_under)
    across: Array = np.linalg.inv(BRADFORD) @ (gains[:, None] * BRADFORD)
    found: Array = np.asarray(xyz, dtype=np.float64) @ across.T
    return found


def d50_from_d65(xyz: ArrayLike) -> Array:
    """XYZ under D50 of XYZ under D65; shape (..., 3) to (..., 3)."""
    return adapted(xyz, seen_under=WHITE_D65, to=WHITE_D50)


def d65_from_d50(xyz: ArrayLike) -> Array:
    """XYZ under D65 of XYZ under D50; shape (..., 3) to (..., 3)."""
    return adapted(xyz, seen_under=WHITE_D50, to=WHITE_D65)
