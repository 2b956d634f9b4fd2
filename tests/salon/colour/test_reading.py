"""Reading marked hair from a photo: what a reading tells, lamps and exposures that change nothing, the refusals."""

import io
import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from salon.colour.difference import ciede2000
from salon.colour.lab import LINEAR_RGB_OF_XYZ, lab_from_srgb, srgb_from_linear, xyz_from_lab
from salon.colour.marks import CardMark, ChartMark, Marks, Spot, marks_from_json
from salon.colour.reading import ReadingRefused, read_photo
from tests.salon.colour.synthetic_cameras import PERFECT, ZONES, card_mark, chart_mark, draw_scene, take_picture

PICTURE = take_picture(11, camera=PERFECT)
PHOTO = np.asarray(Image.open(io.BytesIO(PICTURE.jpeg)))
WITH_CHART = marks_from_json(PICTURE.with_chart, regions=ZONES)
WITH_CARD = marks_from_json(PICTURE.with_card, regions=ZONES)
BY_EITHER = pytest.mark.parametrize("marks", [WITH_CARD, WITH_CHART], ids=["card", "chart"])

HAIR = {"root": (24.0, 4.0, 7.0), "mid": (32.0, 7.0, 13.0), "ends": (46.0, 9.0, 20.0)}


def flat_photo(gains=(1, 1, 1), hair=HAIR, width=600, height=400):
    """A card above, three flat patches of hair below, in linear light times the gains; 8 bits."""
    linear = np.full((height, width, 3), 0.3)
    linear[: height // 2, : width // 2] = 0.18
    for place, lab in enumerate(hair.values()):
        left = place * width // 3
        linear[height // 2 :, left : left + width // 3] = xyz_from_lab(lab) @ LINEAR_RGB_OF_XYZ.T
    return np.rint(np.clip(srgb_from_linear(linear * gains), 0, 1) * 255).astype(np.uint8)


ON_FLAT = Marks(
    CardMark(Spot(0.25, 0.25, 0.08)),
    {zone: (Spot((place + 0.5) / 3, 0.75, 0.03),) for place, zone in enumerate(HAIR)},
)


# What a reading tells


def test_a_reading_by_the_card_tells_how_it_came_about():
    reading = read_photo(PHOTO, WITH_CARD)
    assert (reading.method, reading.routine) == ("card", "card-1")
    assert reading.correction.kind == "each channel scaled to the card"
    assert reading.correction.residual_after is None
    assert list(reading.regions) == ["root", "mid", "ends"]


def test_a_reading_by_the_chart_tells_how_it_came_about():
    reading = read_photo(PHOTO, WITH_CHART)
    assert (reading.method, reading.routine) == ("chart", "chart-1")
    assert reading.correction.kind in ("linear 3 × 3", "root-polynomial")
    assert reading.correction.exponent == pytest.approx(1, abs=0.05)
    assert reading.correction.patches_used >= 21
    assert reading.correction.residual_after < 1


@BY_EITHER
def test_a_region_tells_its_spots_its_spread_and_how_sure_it_is(marks):
    for zone, region in read_photo(PHOTO, marks).regions.items():
        assert ciede2000(region.lab, PICTURE.labs[zone]) < 1
        assert region.spots == len(region.lab_of_spots) == 3
        assert 0 < region.spread_between < 3
        assert region.spread_between == pytest.approx(
            max(ciede2000(one, other) for one in region.lab_of_spots for other in region.lab_of_spots)
        )
        assert region.doubt > 0
        assert 1_000 < region.n < 3 * np.pi * 15**2


def test_nine_in_ten_samples_lie_within_the_spread():
    noisy = flat_photo().astype(int) + np.rint(np.random.default_rng(5).normal(0, 3, (400, 600, 1))).astype(int)
    photo = noisy.clip(0, 255).astype(np.uint8)
    region = read_photo(photo, ON_FLAT).regions["ends"]
    away = ciede2000(lab_from_srgb(photo[260:340, 460:540] / 255), HAIR["ends"])
    assert region.spread_within < np.quantile(away, 0.9)  # the tails were dropped before
    assert region.spread_within > np.quantile(away, 0.6)


def test_one_spot_has_no_spread_between_spots():
    region = read_photo(flat_photo(), ON_FLAT).regions["root"]
    assert region.spots == 1
    assert region.spread_between is None
    assert region.spread_within < 0.01


def test_regions_may_have_any_name_and_only_those_marked_are_read():
    marks = Marks(ON_FLAT.reference, {"swatch 7": ON_FLAT.spots["mid"], "ends": ()})
    assert list(read_photo(flat_photo(), marks).regions) == ["swatch 7"]


@BY_EITHER
def test_all_of_it_can_be_kept_as_json(marks):
    reading = read_photo(PHOTO, marks)
    details = reading.details()
    assert json.loads(json.dumps(details, allow_nan=False)) == details
    assert details["routine"] == reading.routine
    assert details["correction"]["kind"] == reading.correction.kind
    assert tuple(details["regions"]["mid"]["lab"]) == reading.regions["mid"].lab
    assert details["regions"]["mid"]["doubt"] == reading.regions["mid"].doubt


def test_the_other_edition_of_the_chart_fits_worse():
    right, wrong = (read_photo(PHOTO, WITH_CHART, edition=edition) for edition in ("after", "before"))
    assert right.correction.residual_after < wrong.correction.residual_after
    assert right.regions["mid"].doubt < wrong.regions["mid"].doubt


def test_the_reflectance_of_the_card_sets_the_lightness():
    lighter, darker = (read_photo(PHOTO, WITH_CARD, card_reflectance=share) for share in (0.20, 0.16))
    assert lighter.regions["mid"].lab[0] > darker.regions["mid"].lab[0] + 1


# Lamps and exposures

gains = st.tuples(*[st.floats(0.45, 1.3)] * 3)


@given(gains)
def test_neither_lamp_nor_exposure_changes_what_the_card_gives(by):
    # three channels each half a code off, of the hair and of the card, are up to 1.5 ΔE00 in the darkest of them
    plain, lit = (read_photo(flat_photo(gains), ON_FLAT).regions for gains in ((1, 1, 1), by))
    for zone in HAIR:
        assert ciede2000(plain[zone].lab, lit[zone].lab) < 1.5


@given(gains)
def test_neither_lamp_nor_exposure_changes_what_the_chart_gives(by):
    scene = draw_scene(np.random.default_rng(1), HAIR, 1.0, "after")
    marks = Marks(chart_mark(), {"mid": (Spot(0.75, 0.5, 0.02),)})

    def read(gains):
        photo = np.rint(np.clip(srgb_from_linear(scene * gains), 0, 1) * 255).astype(np.uint8)
        return read_photo(photo, marks).regions["mid"].lab

    assert ciede2000(read((0.8, 0.8, 0.8)), read(by)) < 0.6


# Refusals


def refusal(photo, marks, **settings):
    with pytest.raises(ReadingRefused) as refused:
        read_photo(photo, marks, **settings)
    told = refused.value
    assert str(told) == f"{told.says} {told.instead}"
    assert told.says.endswith(".")
    assert told.instead.endswith(".")
    return told


def test_without_card_and_chart_nothing_is_read_and_the_photo_may_be_kept():
    told = refusal(PHOTO, Marks(None, WITH_CARD.spots))
    assert told.about == "photo"
    assert "shows the lamp as much as the hair" in told.says
    assert "may still be kept as a picture" in told.instead


@pytest.mark.parametrize("spots", [{}, {"root": ()}])
def test_without_hair_nothing_is_read(spots):
    told = refusal(PHOTO, Marks(card_mark(), spots))
    assert told.about == "photo"
    assert told.says == "No hair is marked on this photo."


def test_a_spot_over_the_edge_is_refused():
    told = refusal(PHOTO, Marks(card_mark(), {"root": (Spot(0.7, 0.2, 0.02), Spot(0.999, 0.2, 0.02))}))
    assert told.about == "root"
    assert told.says == "Spot 2 on the roots reaches over the edge of the photo."


def test_a_spot_of_few_pixels_is_refused():
    told = refusal(PHOTO, Marks(card_mark(), {"ends": (Spot(0.7, 0.8, 0.004),)}))
    assert told.about == "ends"
    assert "Spot 1 on the ends is too small" in told.says


@BY_EITHER
@pytest.mark.parametrize(("code", "word", "instead"), [(255, "too light", "down"), (0, "too dark", "up")])
def test_clipped_hair_is_refused_and_the_room_is_told(marks, code, word, instead):
    photo = PHOTO.copy()
    photo[150:290, 370:590, 2] = code  # all of the mid-lengths, in blue
    told = refusal(photo, marks)
    assert told.about == "mid"
    assert f"Spot 1 on the mid-lengths is {word}" in told.says
    assert "the blue channel" in told.says
    assert f"or the light {instead}" in told.instead


def test_a_clipped_card_is_refused():
    told = refusal(flat_photo(gains=(6, 1, 1)), ON_FLAT)
    assert told.about == "card"
    assert "The card is too light" in told.says
    assert "red" in told.says


@BY_EITHER
def test_a_photo_far_too_dark_is_refused(marks):
    dark = np.rint(srgb_from_linear(0.15 * ((PHOTO / 255) ** 2.2)) * 255).astype(np.uint8)
    told = refusal(dark, marks)
    assert told.about == ("card" if marks is WITH_CARD else "chart")
    assert "too dark to go by" in told.says
    assert "Turn up the light" in told.instead


def test_a_mark_beside_the_card_is_refused_where_it_is_far_from_grey():
    on_orange = CardMark(Spot((30 + 21) / 640, (40 + 46 + 21) / 420, 15 / 640))
    told = refusal(PHOTO, Marks(on_orange, WITH_CARD.spots))
    assert told.about == "card"
    assert "far from grey" in told.says
    assert "Check that the mark lies on the card" in told.instead


def test_an_unevenly_lit_card_is_refused():
    photo = PHOTO.copy()
    photo[260:340, 40:85] = (photo[260:340, 40:85] * 0.8).astype(np.uint8)  # a shadow over a part of it
    told = refusal(photo, WITH_CARD)
    assert told.about == "card"
    assert "unevenly lit: its quarters differ by ΔE00" in told.says
    assert "keep shadows off it" in told.instead
    assert read_photo(photo, WITH_CHART)


@pytest.mark.parametrize(
    "move",
    [
        pytest.param(lambda x, y: (x + 46 / 640, y), id="one patch to the right"),
        pytest.param(lambda x, y: (x, y + 46 / 420), id="one patch down"),
        pytest.param(lambda x, y: (x + 330 / 640, y), id="on the hair"),
        pytest.param(lambda x, y: (x + (x - 0.26) * 0.18, y + (y - 0.31) * 0.3), id="on the outer corners"),
        pytest.param(lambda x, y: (x * 0.8, y), id="one column short"),
    ],
)
def test_marks_beside_the_corner_patches_are_refused(move):
    corners = tuple(move(x, y) for x, y in chart_mark().corners)
    told = refusal(PHOTO, Marks(ChartMark(corners), WITH_CHART.spots))
    assert told.about == "chart"
    assert "do not lie on the chart's corner patches" in told.says
    assert "Mark the middles of the four corner patches" in told.instead


def test_corners_that_span_no_chart_are_refused():
    told = refusal(PHOTO, Marks(ChartMark(((0.1, 0.1),) * 4), WITH_CHART.spots))
    assert told.about == "chart"
    assert "two marks lie on the same patch" in told.says


@pytest.mark.parametrize(("gain", "word", "instead"), [(8, "light", "down"), (0.002, "dark", "up")])
def test_a_chart_of_which_the_camera_lost_too_much_is_refused(gain, word, instead):
    scene = draw_scene(np.random.default_rng(1), HAIR, 1.0, "after")
    photo = np.rint(np.clip(srgb_from_linear(scene * gain), 0, 1) * 255).astype(np.uint8)
    told = refusal(photo, Marks(chart_mark(), WITH_CHART.spots))
    assert told.about == "chart"
    assert "of the 24 patches of the chart can't be used" in told.says
    assert f"most are too {word} for the camera" in told.says
    assert f"the light {instead}" in told.instead


def test_a_chart_that_lost_its_cyan_is_no_worse_for_it():
    photo = PHOTO.copy()
    photo[132:174, 260:302] = 128  # the patch that sRGB cannot hold
    whole, without = (read_photo(of, WITH_CHART).correction for of in (PHOTO, photo))
    assert whole == without


@pytest.mark.parametrize(
    "pixels",
    [np.zeros((9, 9), dtype=np.uint8), np.zeros((9, 9, 4), dtype=np.uint8), np.zeros((9, 9, 3))],
    ids=["grey", "with alpha", "of floats"],
)
def test_other_pixels_are_an_error_of_the_program(pixels):
    with pytest.raises(ValueError, match="a photo is \\(h, w, 3\\) of uint8") as error:
        read_photo(pixels, ON_FLAT)
    assert not isinstance(error.value, ReadingRefused)
