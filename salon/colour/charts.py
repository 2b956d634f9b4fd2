"""What colours the patches of a 24-patch chart have: both editions, as their maker published them.

The chart is six patches wide and four high; patches are counted along the rows from the dark skin, with the greys in
the last row, white on the left. The inks changed in November 2014, so a chart has an edition; which one the salon's
chart is of stands on its back, and in the salon's settings.

Values are L*a*b* under ICC D50 (x 0.34570291, y 0.35853860), 2° observer: the chart maker's data of 2016 as in
colour-science 0.4.7, characterisation/datasets/colour_checkers (read; tests/published compares all of them).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from salon.colour.adaptation import WHITE_D50, d65_from_d50
from salon.colour.lab import WHITE_D65, xyz_from_lab

Array = NDArray[np.float64]
Edition = Literal["before", "after"]  # November 2014

COLUMNS, ROWS = 6, 4

PATCHES: tuple[str, ...] = (
    *("dark skin", "light skin", "blue sky", "foliage", "blue flower", "bluish green"),
    *("orange", "purplish blue", "moderate red", "purple", "yellow green", "orange yellow"),
    *("blue", "green", "red", "yellow", "magenta", "cyan"),
    *("white", "light grey", "grey", "middle grey", "dark grey", "black"),
)

MIDDLE_GREY = 21  # reflects 19 %, about as much as a grey card
OUTSIDE_SRGB = (17,)  # cyan: its red is below zero, so that an sRGB photo can't hold it


def _kept(values: list[list[float]]) -> Array:
    array = np.array(values)
    array.flags.writeable = False
    return array


CHART_LAB_D50: Mapping[Edition, Array] = MappingProxyType(
    {
        "after": _kept(
            [
                [37.54, 14.37, 14.92],
                [64.66, 19.27, 17.50],
                [49.32, -3.82, -22.54],
                [43.46, -12.74, 22.72],
                [54.94, 9.61, -24.79],
                [70.48, -32.26, -0.37],
                [62.73, 35.83, 56.50],
                [39.43, 10.75, -45.17],
                [50.57, 48.64, 16.67],
                [30.10, 22.54, -20.87],
                [71.77, -24.13, 58.19],
                [71.51, 18.24, 67.37],
                [28.37, 15.42, -49.80],
                [54.38, -39.72, 32.27],
                [42.43, 51.05, 28.62],
                [81.80, 2.67, 80.41],
                [50.63, 51.28, -14.12],
                [49.57, -29.71, -28.32],
                [95.19, -1.03, 2.93],
                [81.29, -0.57, 0.44],
                [66.89, -0.75, -0.06],
                [50.76, -0.13, 0.14],
                [35.63, -0.46, -0.48],
                [20.64, 0.07, -0.46],
            ]
        ),
        "before": _kept(
            [
                [37.986, 13.555, 14.059],
                [65.711, 18.130, 17.810],
                [49.927, -4.880, -21.905],
                [43.139, -13.095, 21.905],
                [55.112, 8.844, -25.399],
                [70.719, -33.397, -0.199],
                [62.661, 36.067, 57.096],
                [40.020, 10.410, -45.964],
                [51.124, 48.239, 16.248],
                [30.325, 22.976, -21.587],
                [72.532, -23.709, 57.255],
                [71.941, 19.363, 67.857],
                [28.778, 14.179, -50.297],
                [55.261, -38.342, 31.370],
                [42.101, 53.378, 28.190],
                [81.733, 4.039, 79.819],
                [51.935, 49.986, -14.574],
                [51.038, -28.631, -28.638],
                [96.539, -0.425, 1.186],
                [81.257, -0.638, -0.335],
                [66.766, -0.734, -0.504],
                [50.867, -0.153, -0.270],
                [35.656, -0.421, -1.231],
                [20.461, -0.079, -0.973],
            ]
        ),
    }
)


def chart_xyz(edition: Edition) -> Array:
    """XYZ of the 24 patches under D65, adapted by Bradford's way; shape (24, 3). KeyError for another edition."""
    under_d50 = xyz_from_lab(CHART_LAB_D50[edition]) / WHITE_D65 * WHITE_D50  # CIELAB knows a white by division only
    return d65_from_d50(under_d50)
