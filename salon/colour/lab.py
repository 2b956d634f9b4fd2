"""Which L*a*b* a screen colour has, and which screen colour comes closest to an L*a*b*.

Everything is CIELAB under D65 for the 2° observer, L* from 0 to 100; XYZ has Y = 1 for white; sRGB channels run from
0 to 1 and carry the sRGB curve unless a name says linear. Arrays have the three channels along the last axis and any
axes before it. How different two colours look is `difference`'s to say.

Sources: sRGB (IEC 61966-2-1:1999): matrix of four decimals, curve and white from memory, checked against values
published with the CSS colour tests (tests/published). CIELAB: δ = 6/29, κ = 24389/27, ε = 216/24389 as in CIE
15:2004, section 8.2.1.1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

XYZ_OF_LINEAR_RGB = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
LINEAR_RGB_OF_XYZ = np.linalg.inv(XYZ_OF_LINEAR_RGB)  # not the rounded inverse, so that there and back is exact
WHITE_D65 = XYZ_OF_LINEAR_RGB.sum(axis=1)  # 0.9505, 1, 1.0890

EPSILON = 216.0 / 24389.0
KAPPA = 24389.0 / 27.0


def linear_from_srgb(srgb: ArrayLike) -> Array:
    """Undo the sRGB curve; channels from 0 to 1, any shape."""
    channels = np.asarray(srgb, dtype=np.float64)
    return np.where(channels <= 0.04045, channels / 12.92, ((np.maximum(channels, 0.0) + 0.055) / 1.055) ** 2.4)


def srgb_from_linear(linear: ArrayLike) -> Array:
    """Apply the sRGB curve; channels from 0 to 1, any shape. Channels outside stay outside."""
    channels = np.asarray(linear, dtype=np.float64)
    curved = 1.055 * np.maximum(channels, 0.0) ** (1 / 2.4) - 0.055
    encoded: Array = np.where(channels <= 0.0031308, channels * 12.92, curved)
    return encoded


def xyz_from_srgb(srgb: ArrayLike) -> Array:
    """XYZ of sRGB channels, shape (..., 3) to (..., 3)."""
    xyz: Array = linear_from_srgb(_three(srgb)) @ XYZ_OF_LINEAR_RGB.T
    return xyz


def srgb_from_xyz(xyz: ArrayLike) -> Array:
    """sRGB channels of XYZ, shape (..., 3) to (..., 3); a colour no screen can show has a channel under 0 or over 1."""
    linear: Array = _three(xyz) @ LINEAR_RGB_OF_XYZ.T
    return srgb_from_linear(linear)


def lab_from_xyz(xyz: ArrayLike) -> Array:
    """L*a*b* of XYZ, shape (..., 3) to (..., 3)."""
    t = _three(xyz) / WHITE_D65
    f = np.where(t > EPSILON, np.cbrt(t), (KAPPA * t + 16.0) / 116.0)
    f_x, f_y, f_z = np.moveaxis(f, -1, 0)
    return np.stack([116.0 * f_y - 16.0, 500.0 * (f_x - f_y), 200.0 * (f_y - f_z)], axis=-1)


def xyz_from_lab(lab: ArrayLike) -> Array:
    """XYZ of L*a*b*, shape (..., 3) to (..., 3)."""
    lightness, a, b = np.moveaxis(_three(lab), -1, 0)
    f_y = (lightness + 16.0) / 116.0
    f = np.stack([f_y + a / 500.0, f_y, f_y - b / 200.0], axis=-1)
    cubed = f**3
    xyz: Array = np.where(cubed > EPSILON, cubed, (116.0 * f - 16.0) / KAPPA) * WHITE_D65
    return xyz


def lab_from_srgb(srgb: ArrayLike) -> Array:
    """L*a*b* of sRGB channels (0 to 1), shape (..., 3) to (..., 3).

    >>> [round(float(value), 2) for value in lab_from_srgb([120 / 255, 81 / 255, 50 / 255])]
    [38.04, 12.68, 24.67]
    """
    return lab_from_xyz(xyz_from_srgb(srgb))


def srgb_from_lab(lab: ArrayLike) -> Array:
    """sRGB channels of L*a*b*, shape (..., 3) to (..., 3); outside 0 to 1 where no screen can show the colour."""
    return srgb_from_xyz(xyz_from_lab(lab))


def css_hex(lab: ArrayLike) -> str:
    """One L*a*b* as the `#rrggbb` of a swatch; each channel is cut to what a screen can show.

    A swatch is there to tell shades apart at a glance, never to match by: the number stands beside it.
    Raises ValueError for anything but three finite numbers.
    >>> css_hex((38.036, 12.679, 24.667))
    '#785132'
    """
    colour = np.asarray(lab, dtype=np.float64)
    if colour.shape != (3,) or not np.isfinite(colour).all():
        raise ValueError(f"a swatch needs one colour of three finite numbers (L*, a*, b*), got {lab!r}")
    red, green, blue = np.rint(np.clip(srgb_from_lab(colour), 0.0, 1.0) * 255.0).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


def _three(channels: ArrayLike) -> Array:
    array = np.asarray(channels, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ValueError(f"a colour is three numbers along the last axis, got an array of shape {array.shape}")
    return array
