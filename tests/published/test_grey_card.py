"""What is known of a grey card, by the definition of L* and the sRGB curve, and that a photo of one reads so."""

import numpy as np
import pytest

from salon.colour.lab import WHITE_D65, lab_from_srgb, lab_from_xyz, srgb_from_linear
from salon.colour.marks import CardMark, Marks, Spot
from salon.colour.reading import read_photo


@pytest.mark.parametrize(
    ("reflectance", "lightness"),
    [
        (0.18, 49.496),  # “typically defined as 18 % reflectance”: encyclopaedia, “Middle grey”. READ; L* COMPUTED
        (0.184187, 50.0),  # “50 % CIELAB lightness … Y = 18.4 %”: the same. READ; the further digits COMPUTED
        (0.127, 42.31),  # COMPUTED
        (0.90, 96.00),  # COMPUTED
    ],
)
def test_a_grey_of_known_reflectance_has_its_lightness_and_no_hue(reflectance, lightness):
    np.testing.assert_allclose(lab_from_xyz(reflectance * WHITE_D65), [lightness, 0, 0], rtol=0, atol=5e-3)


def test_the_codes_of_middle_grey_on_a_screen():
    # 18 % is sRGB code 117.65, L* 50 is code 118.9 (COMPUTED): “RGB 119,119,119” (encyclopaedia, “Middle grey”, READ)
    np.testing.assert_allclose(srgb_from_linear([0.18, 0.184187]) * 255, [117.65, 118.9], rtol=0, atol=0.05)
    assert lab_from_srgb(np.full(3, 119 / 255))[0] == pytest.approx(50, abs=0.05)


@pytest.mark.parametrize(
    "light", [(118, 118, 118), (140, 118, 96), (104, 118, 140)], ids=["neutral", "lamplight", "shade"]
)
@pytest.mark.parametrize(("reflectance", "lightness"), [(0.18, 49.496), (0.127, 42.31)])
def test_what_has_the_light_of_the_card_reads_as_the_card(light, reflectance, lightness):
    photo = np.full((200, 300, 3), light, dtype=np.uint8)
    marks = Marks(CardMark(Spot(0.2, 0.5, 0.05)), {"mid": (Spot(0.8, 0.5, 0.05),)})
    found = read_photo(photo, marks, card_reflectance=reflectance).regions["mid"]
    np.testing.assert_allclose(found.lab, [lightness, 0, 0], rtol=0, atol=5e-3)
