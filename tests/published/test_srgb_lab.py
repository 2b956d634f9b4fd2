"""sRGB and CIELAB against values published with the CSS colour tests, the grey card and a general colour library."""

from pathlib import Path

import numpy as np
import pytest

from salon.colour.lab import WHITE_D65, lab_from_srgb, lab_from_xyz, srgb_from_lab, srgb_from_xyz, xyz_from_srgb

HERE = Path(__file__).parent

# Bradford, D65 to D50, and the white it leads to: colour-science 0.4.7, adaptation/tests/test_vonkries.py. READ
D50_FROM_D65 = np.array(
    [
        [1.04792979, 0.02294687, -0.05019227],
        [0.02962781, 0.99043443, -0.01707380],
        [-0.00924304, 0.01505519, 0.75187428],
    ]
)
WHITE_D50 = np.array([0.96429568, 1.0, 0.82510460])


def test_the_css_colour_tests_hold():
    table = np.loadtxt(HERE / "css_lab_d50.csv", delimiter=",")
    d50 = xyz_from_srgb(table[:, 0:3]) @ D50_FROM_D65.T
    found = lab_from_xyz(d50 / WHITE_D50 * WHITE_D65)  # CIELAB knows a white only as what XYZ is divided by
    np.testing.assert_allclose(found, table[:, 3:6], rtol=0, atol=0.02)  # they print channels to four digits


def test_a_published_green_has_its_published_xyz():
    # #009900 in XYZ D50: Web Platform Tests css-color/predefined-016.html. READ
    found = D50_FROM_D65 @ xyz_from_srgb([0.0, 0.6, 0.0])
    np.testing.assert_allclose(found, [0.12266, 0.22836, 0.03093], rtol=0, atol=2e-4)


def test_a_published_xyz_has_its_published_channels():
    # colour-science 0.4.7, models/rgb/tests/test_common.py. READ; the rest comes from the four-decimal matrix
    found = srgb_from_xyz([0.20654008, 0.12197225, 0.05136952])
    np.testing.assert_allclose(found, [0.70573936, 0.19248266, 0.22354169], rtol=0, atol=1e-4)


def test_the_table_of_screen_colours_holds_both_ways():
    table = np.loadtxt(HERE / "srgb_lab_d65.csv", delimiter=",")
    np.testing.assert_allclose(lab_from_srgb(table[:, 0:3] / 255), table[:, 3:6], rtol=0, atol=1e-4)
    np.testing.assert_allclose(srgb_from_lab(table[:, 3:6]) * 255, table[:, 0:3], rtol=0, atol=5e-3)


def test_a_grey_card_of_18_percent_reads_lightness_49_and_a_half():
    # L*(18 %) = 49.496, by the definition of L*; L* 50 is 18.4 % (encyclopaedia, “Middle grey”). READ and COMPUTED
    np.testing.assert_allclose(lab_from_xyz(0.18 * WHITE_D65), [49.496, 0, 0], atol=5e-4)
    np.testing.assert_allclose(lab_from_xyz(0.184187 * WHITE_D65), [50, 0, 0], atol=5e-4)


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
def test_a_general_library_agrees_on_cielab():
    from colour import XYZ_to_Lab

    xyz = np.random.default_rng(11664).uniform(0, 1, (5_000, 3)) ** 3  # many dark ones, down the straight part
    white_xy = WHITE_D65[:2] / WHITE_D65.sum()
    np.testing.assert_allclose(lab_from_xyz(xyz), XYZ_to_Lab(xyz, white_xy), rtol=0, atol=1e-9)
