"""Which colour marked hair has on a photo with a grey card or a 24-patch chart, and how sure that is.

`read_photo` looks only at the pixels under the marks: `regions` sums the spots up, `chart_finding` finds the patches,
`correction` undoes camera and lamp, `doubt` says how sure the result is. A photo that can't be read is refused with
what is wrong with it and what to change in the room; a refusal is about one thing, so that it can stand beside it.

Pixels are sRGB of 8 bits (a stored rendition is), colours CIELAB under D65 for the 2° observer. A reading names the
routine that made it ("card-1", "chart-1"): colours are comparable within a routine only, and a changed routine takes a
new name, so that old readings stay what they were. Photos see hair lighter than an instrument does (on average 33 L*,
Vaughn et al., Forensic Sci Int 183:97-101, 2009, abstract read); `cross_reading` is what joins two scales.

What is refused is a house rule (common practice): over 1 % of a spot's samples clipped (`regions` says which count);
over ΔE00 2 between the quarters of the card; a photo over two stops too dark (the card shows under 22 % of its own
reflectance, and one 8-bit code more in dark hair is over ΔE00 1); a card of which one channel is over three times
another (a camera balances lamplight nearer than that: the mark lies on something else); a chart whose patches still
differ by over ΔE00 6 after the correction (synthetic charts that are marked well leave under 1.5, marked at their outer
corners about 7, and a reading that unsure would name no band).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from salon.colour.chart_finding import patches_of
from salon.colour.charts import MIDDLE_GREY, Edition, chart_xyz
from salon.colour.correction import (
    CLIPPED_FROM,
    FEWEST_PATCHES,
    CardScaling,
    ChartFit,
    card_scaling,
    fit_chart,
    usable_patches,
)
from salon.colour.difference import ciede2000
from salon.colour.doubt import doubt_with_card, doubt_with_chart
from salon.colour.marks import CardMark, ChartMark, Marks, Spot
from salon.colour.regions import (
    LINEAR_OF_CODE,
    LUMINANCE,
    OF_CARDS,
    OF_HAIR,
    Codes,
    Region,
    Tails,
    quarters_of,
    samples_of,
    share_on_the_photo,
    summed_up,
)

Array = NDArray[np.float64]
PhotoMethod = Literal["card", "chart"]

ROUTINES: Mapping[PhotoMethod, str] = {"card": "card-1", "chart": "chart-1"}

FEWEST_SAMPLES = 100
LEAST_ON_THE_PHOTO = 0.75  # of a spot
MOST_UNEVEN = 2.0  # ΔE00 from quarter to quarter of the card
LEAST_LIGHT = 0.22  # of what the card reflects, or the chart's middle grey
MOST_TINTED_CARD = 3.0  # strongest channel over weakest, linear light
WORST_CHART = 6.0  # ΔE00, root mean square
SAMPLES_OF_SPREAD = 500  # of one spot

KNOWN_WORDS = {
    "root": "the roots",
    "mid": "the mid-lengths",
    "ends": "the ends",
    "pigment": "the strand with its own colour",
    "grey": "the grey strand",
}


class ReadingRefused(ValueError):  # noqa: N818  # says what happened, as the page does
    """A photo that gives no reading.

    about: "card", "chart", "photo" or the region's key. says: what is wrong, a sentence. instead: what to change.
    """

    def __init__(self, about: str, says: str, instead: str) -> None:
        super().__init__(f"{says} {instead}")
        self.about, self.says, self.instead = about, says, instead


@dataclass(frozen=True, slots=True)
class CorrectionTold:
    """How camera and lamp were undone, for people.

    kind: in words. With a chart, exponent is that of the tone curve, residual_before and residual_after are root mean
    squares of ΔE00 over the patches used, as photographed and left out one by one; with a card there are none.
    """

    kind: str
    exponent: float | None
    residual_before: float | None
    residual_after: float | None
    patches_used: int


@dataclass(frozen=True, slots=True)
class RegionRead:
    """One region's colour.

    lab: L*, a*, b*, the mean of its spots in linear light. doubt: ΔE00 within which nine readings in ten lie.
    spread_within: ΔE00 from lab within which nine in ten of the samples lie. spread_between: the largest ΔE00 between
    two spots, None with one. n: samples that were kept. spots: how many, with lab_of_spots one by one.
    """

    lab: tuple[float, float, float]
    doubt: float
    spread_within: float
    spread_between: float | None
    n: int
    spots: int
    lab_of_spots: tuple[tuple[float, float, float], ...]

    def details(self) -> dict[str, Any]:
        """All of it as plain JSON."""
        return asdict(self) | {"lab": list(self.lab), "lab_of_spots": [list(lab) for lab in self.lab_of_spots]}


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """What a photo gave: a colour for each region that was marked, all by one routine."""

    method: PhotoMethod
    regions: Mapping[str, RegionRead]
    correction: CorrectionTold

    @property
    def routine(self) -> str:
        """The version of the routine that read it, which is also the scale its colours are on."""
        return ROUTINES[self.method]

    def details(self) -> dict[str, Any]:
        """All of it as plain JSON, to be kept with the reading."""
        return {
            "method": self.method,
            "routine": self.routine,
            "correction": asdict(self.correction),
            "regions": {key: region.details() for key, region in self.regions.items()},
        }


def read_photo(
    pixels: Codes, marks: Marks, *, card_reflectance: float = 0.18, edition: Edition = "after"
) -> PhotoReading:
    """Read the marked regions of a photo.

    pixels: shape (h, w, 3), sRGB of 8 bits. card_reflectance: of the card, 0.18 for one of 18 %. edition: of the chart.
    Raises ReadingRefused where the photo gives no reading, ValueError for pixels of another shape or kind.
    """
    if pixels.ndim != 3 or pixels.shape[2] != 3 or pixels.dtype != np.uint8:
        raise ValueError(f"a photo is (h, w, 3) of uint8, got {pixels.shape} of {pixels.dtype}")
    placed = {key: spots for key, spots in marks.spots.items() if spots}
    if marks.reference is None:
        raise ReadingRefused(
            "photo",
            "Neither the grey card nor the chart is marked on this photo: without one a photo shows the lamp as much "
            "as the hair, so no colour can be read from it.",
            "Take it again with the card or the chart beside the hair, in the same light. "
            "This photo may still be kept as a picture.",
        )
    if not placed:
        raise ReadingRefused("photo", "No hair is marked on this photo.", "Place a spot on the hair to be read.")
    correction: CardScaling | ChartFit
    if isinstance(marks.reference, CardMark):
        correction = _by_card(pixels, marks.reference, card_reflectance)
        told = CorrectionTold("each channel scaled to the card", None, None, None, 0)
    else:
        correction = _by_chart(pixels, marks.reference, edition)
        told = CorrectionTold(
            correction.kind,
            correction.exponent,
            correction.residual_before,
            correction.residual_after,
            correction.patches_used,
        )
    regions = {key: _read_region(pixels, key, spots, correction, card_reflectance) for key, spots in placed.items()}
    return PhotoReading("card" if isinstance(marks.reference, CardMark) else "chart", regions, told)


def _read_region(
    pixels: Codes, key: str, spots: tuple[Spot, ...], correction: CardScaling | ChartFit, reflectance: float
) -> RegionRead:
    name = KNOWN_WORDS.get(key, key)
    found = [
        _summed_up(pixels, spot, OF_HAIR, about=key, name=f"Spot {number} on {name}")
        for number, spot in enumerate(spots, start=1)
    ]
    linear = np.stack([region.linear for region in found])
    lab, labs = correction.lab(linear.mean(axis=0)), correction.lab(linear)
    some = [region.kept[:: -(-region.n // SAMPLES_OF_SPREAD)] for region in found]
    away = ciede2000(correction.lab(LINEAR_OF_CODE[np.concatenate(some)]), lab)
    within = float(np.quantile(away, 0.9))
    if isinstance(correction, CardScaling):
        doubt = doubt_with_card(correction, linear, reflectance=reflectance, spread_within=within)
    else:
        doubt = doubt_with_chart(correction, linear, spread_within=within)
    return RegionRead(
        lab=_tuple(lab),
        doubt=doubt,
        spread_within=within,
        spread_between=float(ciede2000(labs[:, None], labs).max()) if len(spots) > 1 else None,
        n=sum(region.n for region in found),
        spots=len(spots),
        lab_of_spots=tuple(_tuple(of_one) for of_one in labs),
    )


def _by_card(pixels: Codes, mark: CardMark, reflectance: float) -> CardScaling:
    card = _summed_up(pixels, mark.spot, OF_CARDS, about="card", name="The card")
    _refuse_the_dark("card", seen=float(card.linear @ LUMINANCE), known=reflectance)
    tint = float(card.linear.max() / max(card.linear.min(), 1e-6))
    if tint > MOST_TINTED_CARD:
        raise ReadingRefused(
            "card",
            f"What is marked as the card is far from grey: one colour channel is {tint:.1f} times another.",
            "Check that the mark lies on the card; if it does, light card and hair by daylight or by white lamps only.",
        )
    scaling = card_scaling(card.linear, reflectance=reflectance)
    quarters = scaling.lab(quarters_of(pixels, mark.spot))
    uneven = float(np.nanmax(ciede2000(quarters[:, None], quarters)))
    if uneven > MOST_UNEVEN:
        raise ReadingRefused(
            "card",
            f"The card is unevenly lit: its quarters differ by ΔE00 {uneven:.1f}; up to {MOST_UNEVEN:g} can be used.",
            "Tilt it away from shine, keep shadows off it, mark only the card, and light it from further away.",
        )
    return scaling


def _by_chart(pixels: Codes, mark: ChartMark, edition: Edition) -> ChartFit:
    height, width = pixels.shape[:2]
    reference = chart_xyz(edition)
    try:
        patches = patches_of(pixels, np.array(mark.corners) * [width, height], reference)
    except ValueError as error:
        raise ReadingRefused(
            "chart",
            f"The marks are not where a chart has its corner patches: {error}.",
            "Mark the middles of the chart's four corner patches, on a photo where the chart is a hand wide or more.",
        ) from error
    lost = np.count_nonzero(~usable_patches(patches))
    if len(patches) - lost < FEWEST_PATCHES:
        too_light = np.count_nonzero(patches.max(axis=1) >= CLIPPED_FROM) * 2 > lost
        raise ReadingRefused(
            "chart",
            f"{lost} of the {len(patches)} patches of the chart can't be used; most are too "
            f"{'light' if too_light else 'dark'} for the camera.",
            f"Turn the exposure or the light {'down' if too_light else 'up'}, keep shine off the chart, and check that "
            "the marks lie on its corner patches.",
        )
    fit = fit_chart(patches, reference)
    if fit.residual_after > WORST_CHART:
        raise ReadingRefused(
            "chart",
            "The marks do not lie on the chart's corner patches, or shine or a shadow lies on it: its patches differ "
            f"by ΔE00 {fit.residual_after:.0f} from what they should be, however it is turned.",
            "Mark the middles of the four corner patches (dark skin, bluish green, black and white), and hold the "
            "chart flat towards the lamp's light, without shine.",
        )
    _refuse_the_dark("chart", seen=float(patches[MIDDLE_GREY] @ LUMINANCE), known=float(reference[MIDDLE_GREY, 1]))
    return fit


def _refuse_the_dark(about: str, *, seen: float, known: float) -> None:
    if seen < LEAST_LIGHT * known:
        raise ReadingRefused(
            about,
            f"The photo is too dark to go by: the {about} shows {seen / known:.0%} of the light it should, and "
            f"{LEAST_LIGHT:.0%} is the least.",
            "Turn up the light or the camera's exposure, and take the photo again.",
        )


def _summed_up(pixels: Codes, spot: Spot, tails: Tails, *, about: str, name: str) -> Region:
    """Sum up a spot, or refuse it: off the photo, too small, too light or too dark."""
    height, width = pixels.shape[:2]
    if share_on_the_photo(spot, width, height) < LEAST_ON_THE_PHOTO:
        raise ReadingRefused(about, f"{name} reaches over the edge of the photo.", "Move the mark inwards.")
    samples = samples_of(pixels, spot)
    if len(samples) < FEWEST_SAMPLES:
        raise ReadingRefused(
            about,
            f"{name} is too small: it holds {len(samples)} pixels, and {FEWEST_SAMPLES} are the fewest to go by.",
            "Make the mark larger, or take the photo from nearer.",
        )
    region = summed_up(samples, tails)
    if region.too_light:
        channel, share = region.too_light
        raise ReadingRefused(
            about,
            f"{name} is too light for the camera: {share:.0%} of its samples are at the top of the {channel} channel.",
            "Turn the exposure or the light down, keep shine off, and take the photo again.",
        )
    if region.too_dark:
        channel, share = region.too_dark
        raise ReadingRefused(
            about,
            f"{name} is too dark for the camera: {share:.0%} of the middle of its samples are at the bottom of the "
            f"{channel} channel.",
            "Turn the exposure or the light up, and take the photo again.",
        )
    return region


def _tuple(lab: Array) -> tuple[float, float, float]:
    lightness, a, b = lab.tolist()
    return lightness, a, b
