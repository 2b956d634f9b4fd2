"""What a camera and a lamp did to colours, undone by a grey card or by a 24-patch chart in the same photo.

With the card each channel of linear light is scaled so that the card reads the reflectance it is known to have. That
undoes the lamp's strength and tint, not how much the camera's channels see of each other's light.

With the chart three things are fitted: a tone exponent g (linear light is raised to 1/g first: what is left of a
camera's curve once sRGB's own is undone), and then either a linear 3 × 3 or a root-polynomial matrix from the photo's
channels to linear sRGB. Both are least squares with each patch weighted by Y^(−2/3), the slope of L* over Y, because
hair lies among the chart's darkest patches and an error counts by what the eye sees of it. Exponent and kind are
chosen by the smallest leave-one-patch-out error (root mean square of ΔE00), which is also what is told as the
residual: a fit is not asked about what it was fitted to. Patches that are clipped are left out, and so is the cyan
one, which sRGB cannot hold. Both kinds answer a brighter photo with a brighter colour and no other (Finlayson's point),
so that the exposure of the chart bears on nothing.

colour-science is the field's library for such fits (`colour.characterisation`); it has neither the weights, nor the
exponent, nor the leave-one-out, so the fit is our own, and the tests hold its plain case against the library's.

Sources: Finlayson GD, Mackiewicz M, Hurlbert A, "Color correction using root-polynomial regression", IEEE Trans. Image
Processing 24(5):1460-1470 (2015) (memory; its expansion of degree 2 as in colour-science 0.4.7, read). Leave-one-out
by the hat matrix: Allen DM, "The relationship between variable selection and data augmentation and a method for
prediction", Technometrics 16(1):125-127 (1974) (memory; a test refits without each patch). The range of exponents is
the house's (common practice), wide enough for the contrast that phones add.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import itemgetter

import numpy as np
from numpy.typing import ArrayLike, NDArray

from salon.colour.charts import OUTSIDE_SRGB, PATCHES
from salon.colour.difference import ciede2000
from salon.colour.lab import LINEAR_RGB_OF_XYZ, XYZ_OF_LINEAR_RGB, lab_from_xyz

Array = NDArray[np.float64]

EXPONENTS: Array = np.linspace(0.75, 1.50, 61)
CLIPPED_FROM = 0.97  # of linear light, about code 251: a camera bends its curve before it gives up
TOO_DARK_TO = 0.0005  # of linear light, under two codes
FEWEST_PATCHES = 15  # more than twice what the root-polynomial has to find for each channel
DARKEST = 1e-6  # of linear light, L* 0.001: a colour that a fit takes below zero counts as black


@dataclass(frozen=True, slots=True)
class CardScaling:
    """Each channel of linear light times its own gain; gains has shape (3,)."""

    gains: Array

    def lab(self, linear: ArrayLike) -> Array:
        """L*a*b* of the photo's channels in linear light, shape (..., 3) to (..., 3)."""
        return lab_from_linear(np.asarray(linear, dtype=np.float64) * self.gains)


@dataclass(frozen=True, slots=True)
class ChartFit:
    """A tone exponent and a matrix fitted to a chart.

    matrix: shape (3 or 6, 3), from the (expanded) channels to linear sRGB. residual_before, residual_after: root mean
    square ΔE00 of the patches used, as photographed and left out one by one. errors: shape (24,), the latter patch by
    patch, NaN for the patches not used.
    """

    exponent: float
    matrix: Array
    residual_before: float
    residual_after: float
    errors: Array

    @property
    def kind(self) -> str:
        """The fit's kind in words."""
        return "linear 3 × 3" if len(self.matrix) == 3 else "root-polynomial"

    @property
    def patches_used(self) -> int:
        """How many of the 24 patches the fit stands on."""
        return int(np.isfinite(self.errors).sum())

    def lab(self, linear: ArrayLike) -> Array:
        """L*a*b* of the photo's channels in linear light, shape (..., 3) to (..., 3)."""
        expanded = plain if len(self.matrix) == 3 else root_polynomial
        return lab_from_linear(expanded(_toned(np.asarray(linear, dtype=np.float64), self.exponent)) @ self.matrix)


Correction = CardScaling | ChartFit


def card_scaling(card_linear: ArrayLike, *, reflectance: float) -> CardScaling:
    """Scale so that the card (3,) reads its reflectance. Raises ValueError for a card that is black in a channel."""
    card = np.asarray(card_linear, dtype=np.float64)
    if not (card.shape == (3,) and (card > 0.0).all() and 0.0 < reflectance <= 1.0):
        raise ValueError(f"a card has three channels above zero and a reflectance up to 1: got {card}, {reflectance!r}")
    return CardScaling(reflectance / card)


def usable_patches(patches: Array) -> NDArray[np.bool_]:
    """Which of the 24 patches (24, 3) a fit may stand on: neither clipped nor too dark, nor outside sRGB."""
    usable: NDArray[np.bool_] = (patches.max(axis=1) < CLIPPED_FROM) & (patches.min(axis=1) > TOO_DARK_TO)
    usable[list(OUTSIDE_SRGB)] = False
    return usable


def fit_chart(patches: ArrayLike, reference_xyz: ArrayLike, *, exponents: ArrayLike = EXPONENTS) -> ChartFit:
    """Fit the correction in this module's heading.

    patches: shape (24, 3), the photo's channels in linear light, 0 to 1. reference_xyz: shape (24, 3), under D65.
    Raises ValueError where fewer than 15 patches can be used.
    """
    photographed = np.asarray(patches, dtype=np.float64)
    used = usable_patches(photographed)
    if used.sum() < FEWEST_PATCHES:
        raise ValueError(f"a fit needs {FEWEST_PATCHES} patches of the chart, {used.sum()} can be used")
    seen, aim_xyz = photographed[used], np.asarray(reference_xyz, dtype=np.float64)[used]
    aim, aim_lab = aim_xyz @ LINEAR_RGB_OF_XYZ.T, lab_from_xyz(aim_xyz)
    weights = weights_of(aim_xyz)
    tried = np.asarray(exponents, dtype=np.float64)
    toned = np.stack([_toned(seen, exponent) for exponent in tried])

    fits = []
    for expanded in (plain, root_polynomial):
        matrices, left_out = weighted_fits(expanded(toned), aim, weights)
        errors = ciede2000(lab_from_linear(left_out), aim_lab)
        residuals = np.sqrt(np.mean(errors**2, axis=1))
        best = int(np.argmin(residuals))
        fits.append((float(residuals[best]), float(tried[best]), matrices[best], errors[best]))
    residual, exponent, matrix, errors = min(fits, key=itemgetter(0))
    errors_of_all = np.full(len(PATCHES), np.nan)
    errors_of_all[used] = errors
    before = float(np.sqrt(np.mean(ciede2000(lab_from_linear(seen), aim_lab) ** 2)))
    return ChartFit(exponent, matrix, before, residual, errors_of_all)


def weights_of(xyz: Array) -> Array:
    """Y^(−2/3), shape (n, 3) to (n,): as dL*/dY falls, so that an error counts by what the eye sees of it."""
    weights: Array = xyz[:, 1] ** (-2.0 / 3.0)
    return weights


def weighted_fits(features: Array, aim: Array, weights: Array) -> tuple[Array, Array]:
    """Weighted least squares of several sets of features at once, and what each predicts for a point it left out.

    features: shape (k, n, f). aim: shape (n, 3). weights: shape (n,), of the residuals (not of their squares). Returns
    the matrices (k, f, 3) and the predictions (k, n, 3): of every point by the fit to the n − 1 others, from the hat
    matrix and so without a second fit.
    """
    weighted = features * weights[:, None]
    inverse = np.linalg.pinv(weighted)
    matrices = inverse @ (aim * weights[:, None])
    leverage = np.einsum("knf,kfn->kn", weighted, inverse)
    residuals = (features @ matrices - aim) / (1.0 - leverage)[..., None]
    return matrices, aim + residuals


def plain(channels: Array) -> Array:
    """The channels themselves: what a linear 3 × 3 is fitted to."""
    return channels


def root_polynomial(channels: Array) -> Array:
    """r, g, b, √rg, √gb, √rb: Finlayson's expansion of degree 2, shape (..., 3) to (..., 6); channels zero or more."""
    red, green, blue = np.moveaxis(channels, -1, 0)
    return np.stack([red, green, blue, np.sqrt(red * green), np.sqrt(green * blue), np.sqrt(red * blue)], axis=-1)


def lab_from_linear(linear: ArrayLike) -> Array:
    """L*a*b* of linear sRGB, shape (..., 3) to (..., 3); what lies below zero counts as black in that channel."""
    return lab_from_xyz(np.maximum(np.asarray(linear, dtype=np.float64), DARKEST) @ XYZ_OF_LINEAR_RGB.T)


def _toned(linear: Array, exponent: float) -> Array:
    toned: Array = np.maximum(linear, 0.0) ** (1.0 / exponent)
    return toned
