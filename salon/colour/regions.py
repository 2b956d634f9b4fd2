"""What colour a marked spot of a photo has: its pixels, without the shine and the gaps between strands.

A region is summed up by the median of each channel in linear light after the darkest and the brightest samples, by
luminance, were dropped: hair shows gloss on some strands and shade between others, and neither is its colour. The
median is taken within its 8-bit code (the code's samples count as spread evenly over it), so that very dark hair is
not told in whole codes. Nothing outside the spots is ever looked at.

What counts as clipped is asked of the samples that were kept, because the dropped ones bear on nothing:

* too light: more than 1 % of them at 255 in a channel. A camera bends its curve before it gives up, so there the
  colours next to 255 are wrong already;
* too dark: more than 1 % of the *middle half* of a channel at 0. Gaps and noise take some samples of truly black hair
  to 0 and its median is still right; once a quarter is there, the median stands on the floor and tells nothing.

Leaves to `correction` what the camera and the lamp did to these colours. 1 % is a house rule (common
practice); how much is dropped was tried out on synthetic hair with gloss and gaps, whose median it leaves
where it was.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from salon.colour.lab import linear_from_srgb
from salon.colour.marks import Spot

Array = NDArray[np.float64]
Codes = NDArray[np.uint8]

LINEAR_OF_CODE: Array = linear_from_srgb(np.arange(256) / 255.0)
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear sRGB

MOST_CLIPPED = 0.01
MOST_SAMPLES = 5_000
CHANNELS = ("red", "green", "blue")


@dataclass(frozen=True, slots=True)
class Tails:
    """The shares of the samples that are dropped: the darkest and the brightest."""

    darkest: float
    brightest: float


OF_HAIR = Tails(darkest=0.10, brightest=0.15)  # gaps are fewer than strands that shine
OF_CARDS = Tails(darkest=0.05, brightest=0.05)  # dust and fingerprints


@dataclass(frozen=True, slots=True)
class Region:
    """One spot summed up.

    linear: shape (3,), the medians in linear light, 0 to 1. kept: shape (n, 3), the samples they stand on.
    too_light, too_dark: the channel that is clipped most, by name, and its share; None where none is.
    """

    linear: Array
    kept: Codes
    too_light: tuple[str, float] | None
    too_dark: tuple[str, float] | None

    @property
    def n(self) -> int:
        """How many samples were kept."""
        return len(self.kept)


def samples_of(pixels: Codes, spot: Spot) -> Codes:
    """The pixels whose middle lies in a round spot, as far as the photo reaches; pixels (h, w, 3) to (n, 3).

    A spot of more than 5,000 gives every second, third, … of them: more would make the median no surer.
    """
    found, _, _ = _inside(pixels, spot)
    return found[:: -(-len(found) // MOST_SAMPLES) or 1]


def quarters_of(pixels: Codes, spot: Spot) -> Array:
    """The mean in linear light of each quarter of a spot, shape (4, 3): whether it is evenly lit.

    A mean, because a shadow over part of a quarter must show; NaN for a quarter off the photo.
    """
    found, right, down = _inside(pixels, spot)
    light = LINEAR_OF_CODE[found]
    parts = [(right < 0) == left for left in (True, False)], [(down < 0) == above for above in (True, False)]
    chosen = [light[across & along] for across in parts[0] for along in parts[1]]
    return np.stack([part.mean(axis=0) if len(part) else np.full(3, np.nan) for part in chosen])


def share_on_the_photo(spot: Spot, width: int, height: int) -> float:
    """How much of a spot's square lies on a photo, 0 to 1: 1 for a spot that reaches over no edge."""
    longer = max(width, height)
    across = [
        min(1.0, share + spot.radius * longer / side) - max(0.0, share - spot.radius * longer / side)
        for share, side in ((spot.x, width), (spot.y, height))
    ]
    return across[0] * width * across[1] * height / (2.0 * spot.radius * longer) ** 2


def summed_up(samples: Codes, tails: Tails) -> Region:
    """Sum up the samples (n, 3) of one spot. Raises ValueError when there is none."""
    if not len(samples):
        raise ValueError("a region needs samples: the spot holds no pixel")
    luminance = LINEAR_OF_CODE[samples] @ LUMINANCE
    order = np.argsort(luminance, kind="stable")
    kept = samples[order[int(tails.darkest * len(order)) : len(order) - int(tails.brightest * len(order))]]
    counts = np.stack([np.bincount(channel, minlength=256) for channel in kept.T])
    at_255 = counts[:, 255] / len(kept)
    at_0 = np.clip(2.0 * (counts[:, 0] / len(kept) - 0.25), 0.0, 1.0)  # of the middle half, from the lower quartile up
    return Region(linear_from_srgb(medians(counts) / 255.0), kept, _most_clipped(at_255), _most_clipped(at_0))


def medians(counts: NDArray[np.int_]) -> Array:
    """Medians of codes told by how often each occurs, each code spread evenly from half under it to half over it.

    counts: shape (k, 256), no row all zero. Returns shape (k,), 0 or more.
    >>> counts = np.zeros((1, 256), dtype=int)
    >>> counts[0, 7], counts[0, 8] = 3, 1
    >>> round(float(medians(counts)[0]), 3)
    7.167
    """
    upto = np.cumsum(counts, axis=1)
    half = upto[:, -1] / 2.0
    code = np.argmax(upto >= half[:, None], axis=1)
    row = np.arange(len(counts))
    found: Array = code + 0.5 - (upto[row, code] - half) / counts[row, code]
    return np.maximum(found, 0.0)


def _inside(pixels: Codes, spot: Spot) -> tuple[Codes, Array, Array]:
    """The pixels in a spot, (n, 3), and how far each lies to the right of its middle and below it, in pixels."""
    height, width = pixels.shape[:2]
    x, y, radius = spot.x * width, spot.y * height, spot.radius * max(width, height)
    left, top = max(0, int(x - radius)), max(0, int(y - radius))
    window = pixels[top : int(y + radius) + 1, left : int(x + radius) + 1]
    rows, columns = np.indices(window.shape[:2])
    right, down = columns + (left + 0.5 - x), rows + (top + 0.5 - y)
    inside = right**2 + down**2 <= radius**2
    return window[inside], right[inside], down[inside]


def _most_clipped(shares: Array) -> tuple[str, float] | None:
    worst = int(np.argmax(shares))
    return (CHANNELS[worst], float(shares[worst])) if shares[worst] > MOST_CLIPPED else None
