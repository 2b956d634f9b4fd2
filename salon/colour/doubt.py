"""How sure a colour read from a photo is: the ΔE00 within which nine readings in ten lie.

The doubt is put together, in quadrature, of what the photo itself shows:

* the spots: the standard error of their mean, ΔE00, times 1.645 (nine in ten of a normal error). Up to three spots say
  little about their own spread, so one more is counted in with what re-placing a tress alone was seen to do, 0.75, the
  middle of 0.3 to 1.2 in L* (J. Cosmet. Sci. 51(5), 2000, read). One spot alone is as unsure as that;
* the region: a tenth of the ΔE00 within which nine in ten of its samples lie. Shine and gaps that reach past the
  dropped tails, and the JPEG's blur of them, pull the median by about as much;
* the darkness: 0.3 of what one 8-bit code more in each channel would make of the colour. In a dark photo that is much;
* with the chart, its leave-one-patch-out residual, which is the camera's noise and what the fit could not undo;
* with the card alone, 1.6 times what a typical camera makes of this very colour: channels that see each other's light
  (8 % of the difference of two channels, one standard deviation: nothing for grey, much for auburn) and a tone curve a
  tenth off sRGB's (nothing at the card's own lightness, most far from it). The card shows neither of these.

The shares 0.1, 0.3 and 1.6 were tried out on 900 synthetic cameras (tests/salon/colour/synthetic_cameras.py, seeds
50000, 60000 and 70000 on), which are others than the test's own. Of 2,700 readings each way the doubt covered 95 % by
the chart and 94 % by the card; 0.87 and 0.90 of it would have covered nine in ten. Readings with a larger doubt were
further off: rank correlation 0.37 by the chart, 0.58 by the card. Typical phones are taken to be like those cameras
(common practice); a salon that reads its own shades on several days sees how far that holds.

What no photo shows is not in it: a card or chart that faded, hair that another lamp lights than the card, a chart of
the other edition.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from salon.colour.correction import CardScaling, ChartFit, lab_from_linear
from salon.colour.difference import ciede2000
from salon.colour.lab import linear_from_srgb, srgb_from_linear

Array = NDArray[np.float64]
LabOf = Callable[[Array], Array]

NINE_IN_TEN = 1.645  # standard deviations of a normal error
REPLACING = 0.75  # ΔE00, one standard deviation of one spot
WITHIN_PART = 0.1
CODE_PART = 0.3
TYPICAL_PART = 1.6
TYPICAL_CROSSTALK = 0.08
TYPICAL_TONE = 0.10


def doubt_with_chart(fit: ChartFit, spots: Array, *, spread_within: float) -> float:
    """The doubt of a region read by a chart.

    spots: shape (k, 3), its spots in linear light as photographed. spread_within: ΔE00 within which nine in ten of its
    samples lie.
    """
    return float(np.hypot(_measured(fit.lab, spots, spread_within), fit.residual_after))


def doubt_with_card(scaling: CardScaling, spots: Array, *, reflectance: float, spread_within: float) -> float:
    """The doubt of a region read by the card alone; as `doubt_with_chart`."""
    typical = typical_camera_error(spots.mean(axis=0) * scaling.gains, reflectance=reflectance)
    return float(np.hypot(_measured(scaling.lab, spots, spread_within), TYPICAL_PART * typical))


def typical_camera_error(linear: Array, *, reflectance: float) -> float:
    """ΔE00 that one standard deviation of crosstalk and tone makes of a colour that was scaled by a card.

    linear: shape (3,), linear sRGB. A row of I + N(0, σ), divided by its sum, moves channel i by Σ n_ij (x_j − x_i), so
    that its standard deviation is σ √Σ (x_j − x_i)². The tone curve bends about the card, which it leaves in place.
    >>> typical_camera_error(np.full(3, 0.18), reflectance=0.18)
    0.0
    """
    moves = TYPICAL_CROSSTALK * np.sqrt(((linear[:, None] - linear) ** 2).sum(axis=1))
    bent = reflectance * (np.maximum(linear, 0.0) / reflectance) ** (1.0 + TYPICAL_TONE)
    return _moved(lab_from_linear, linear, np.vstack([np.diag(moves), bent - linear]))


def _measured(lab_of: LabOf, spots: Array, spread_within: float) -> float:
    """What the spots, the region and the darkness make of the doubt."""
    mean = spots.mean(axis=0)
    away = ciede2000(lab_of(spots), lab_of(mean))
    variance = (np.sum(away**2) + REPLACING**2) / len(spots)  # k − 1 of their own and one counted in
    of_spots = NINE_IN_TEN * np.sqrt(variance / len(spots))
    one_code_more = linear_from_srgb(srgb_from_linear(mean) + 1.0 / 255.0) - mean
    of_darkness = CODE_PART * _moved(lab_of, mean, np.diag(one_code_more))
    return float(np.sqrt(of_spots**2 + (WITHIN_PART * spread_within) ** 2 + of_darkness**2))


def _moved(lab_of: LabOf, colour: Array, moves: Array) -> float:
    """ΔE00 that independent moves (k, 3) of a colour (3,) make together."""
    return float(np.sqrt(np.sum(ciede2000(lab_of(colour + moves), lab_of(colour)) ** 2)))
