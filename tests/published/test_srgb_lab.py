"""sRGB, CIELAB and Bradford's adaptation against values published with the CSS colour tests and a general library."""

from pathlib import Path

import numpy as np
import pytest

from salon.colour.adaptation import WHITE_D50, adapted, d50_from_d65, d65_from_d50
from salon.colour.lab import WHITE_D65, lab_from_srgb, lab_from_xyz, srgb_from_lab, srgb_from_xyz, xyz_from_srgb

HERE = Path(__file__).parent

# Bradford, D65 to D50, with the whites it is of: colour-science 0.4.7, adaptation/tests/test_vonkries.py. READ
D50_FROM_D65 = [
    [1.04792979, 0.02294687, -0.05019227],
    [0.02962781, 0.99043443, -0.01707380],
    [-0.00924304, 0.01505519, 0.75187428],
]
PUBLISHED_WHITE_D65 = np.array([0.95045593, 1.0, 1.08905775])
PUBLISHED_WHITE_D50 = np.array([0.96429568, 1.0, 0.82510460])


def lab_under_d50(xyz_d65):
    return lab_from_xyz(d50_from_d65(xyz_d65) / WHITE_D50 * WHITE_D65)  # CIELAB knows a white only as a divisor


def test_the_matrix_of_bradford_is_the_published_one():
    found = adapted(np.eye(3), seen_under=PUBLISHED_WHITE_D65, to=PUBLISHED_WHITE_D50).T
    np.testing.assert_allclose(found, D50_FROM_D65, rtol=0, atol=5e-9)


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
def test_a_general_library_adapts_alike():
    from colour.adaptation import chromatic_adaptation_VonKries

    xyz = np.random.default_rng(50).uniform(0, 1, (200, 3))
    theirs = chromatic_adaptation_VonKries(xyz, WHITE_D50, WHITE_D65, transform="Bradford")
    np.testing.assert_allclose(d65_from_d50(xyz), theirs, rtol=0, atol=1e-12)


def test_the_css_colour_tests_hold():
    table = np.loadtxt(HERE / "css_lab_d50.csv", delimiter=",")
    found = lab_under_d50(xyz_from_srgb(table[:, 0:3]))
    np.testing.assert_allclose(found, table[:, 3:6], rtol=0, atol=0.02)  # they print channels to four digits


def test_a_published_green_has_its_published_xyz():
    # #009900 in XYZ D50: Web Platform Tests css-color/predefined-016.html. READ
    found = d50_from_d65(xyz_from_srgb([0.0, 0.6, 0.0]))
    np.testing.assert_allclose(found, [0.12266, 0.22836, 0.03093], rtol=0, atol=2e-4)


def test_a_published_xyz_has_its_published_channels():
    # colour-science 0.4.7, models/rgb/tests/test_common.py. READ; the rest comes from the four-decimal matrix
    found = srgb_from_xyz([0.20654008, 0.12197225, 0.05136952])
    np.testing.assert_allclose(found, [0.70573936, 0.19248266, 0.22354169], rtol=0, atol=1e-4)


def test_the_table_of_screen_colours_holds_both_ways():
    table = np.loadtxt(HERE / "srgb_lab_checks.csv", delimiter=",")
    srgb, xyz, lab_d65, lab_d50 = table[:, 0:3] / 255, table[:, 3:6], table[:, 6:9], table[:, 9:12]
    np.testing.assert_allclose(xyz_from_srgb(srgb), xyz, rtol=0, atol=1e-6)
    np.testing.assert_allclose(lab_from_srgb(srgb), lab_d65, rtol=0, atol=1e-4)
    np.testing.assert_allclose(lab_under_d50(xyz), lab_d50, rtol=0, atol=0.02)  # whites of other digits
    np.testing.assert_allclose(srgb_from_lab(lab_d65) * 255, srgb * 255, rtol=0, atol=5e-3)


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
def test_a_general_library_agrees_on_cielab():
    from colour import XYZ_to_Lab

    xyz = np.random.default_rng(11664).uniform(0, 1, (5_000, 3)) ** 3  # many dark ones, down the straight part
    white_xy = WHITE_D65[:2] / WHITE_D65.sum()
    np.testing.assert_allclose(lab_from_xyz(xyz), XYZ_to_Lab(xyz, white_xy), rtol=0, atol=1e-9)
