"""A photo's reading in words: from what was kept of it, so that an old one is told like a new one."""

import io

import numpy as np
import pytest
from PIL import Image

from salon.colour.marks import marks_from_json
from salon.colour.reading import read_photo
from salon.colour.telling import lab_words, photo_told
from tests.salon.colour.synthetic_cameras import PERFECT, take_picture

NAMES = {"ends": "Ends", "grey": "A grey strand", "root": "Roots"}
NOBREAK = "\N{NO-BREAK SPACE}"


@pytest.fixture(scope="module")
def details():
    """{"card": …, "chart": …} of one photo."""
    picture = take_picture(7, camera=PERFECT)
    pixels = np.asarray(Image.open(io.BytesIO(picture.jpeg)))
    marks = {"card": picture.with_card, "chart": picture.with_chart}
    regions = ("root", "mid", "ends")
    return {way: read_photo(pixels, marks_from_json(text, regions=regions)).details() for way, text in marks.items()}


def test_regions_come_in_the_order_of_their_names_and_the_others_are_left_out(details):
    told = photo_told(details["card"], NAMES)
    assert [(region.key, region.name) for region in told.regions] == [("ends", "Ends"), ("root", "Roots")]
    ends, read = told.regions[0], details["card"]["regions"]["ends"]
    assert ends.lab == tuple(read["lab"])
    assert ends.doubt == f"give or take {read['doubt']:.1f}"
    assert ends.spread == (
        f"3 spots, up to {read['spread_between']:.1f} apart; {read['n']:,} samples, nine in ten within "
        f"{read['spread_within']:.1f} of it"
    )


def test_one_spot_has_no_other_to_lie_apart_from(details):
    one = details["card"]["regions"]["root"] | {"spots": 1, "spread_between": None}
    told = photo_told(details["card"] | {"regions": {"root": one}}, NAMES)
    assert told.regions[0].spread.startswith("one spot; ")


def test_a_card_tells_what_it_reflects_where_that_was_kept(details):
    assert photo_told(details["card"], NAMES).by == "Read by the grey card (card-1)."
    kept = details["card"] | {"setting": {"card_reflectance_percent": 17.5}}
    assert photo_told(kept, NAMES).by == "Read by the grey card, which reflects 17.5 % (card-1)."


def test_a_chart_tells_its_residual_before_and_after(details):
    told, fit = photo_told(details["chart"], NAMES).by, details["chart"]["correction"]
    assert f"lay ΔE00 {fit['residual_before']:.1f} from what they should be" in told
    assert f"and {fit['residual_after']:.1f} once corrected" in told
    assert f"{fit['patches_used']} usable patches" in told


def test_a_colour_is_told_with_a_real_minus_and_no_break_inside():
    assert lab_words((24.06, 5.0, -1.04)) == f"L*{NOBREAK}24.1, a*{NOBREAK}5.0, b*{NOBREAK}−1.0"
