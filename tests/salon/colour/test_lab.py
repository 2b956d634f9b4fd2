"""Screen colours and L*a*b*: there and back, swatches, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.lab import (
    css_hex,
    lab_from_srgb,
    lab_from_xyz,
    srgb_from_lab,
    srgb_from_xyz,
    xyz_from_lab,
    xyz_from_srgb,
)

screen_colours = st.tuples(*[st.integers(0, 255)] * 3)


@given(screen_colours)
def test_a_screen_colour_survives_the_way_there_and_back(codes):
    assert css_hex(lab_from_srgb(np.array(codes) / 255)) == "#{:02x}{:02x}{:02x}".format(*codes)


@given(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
def test_lab_survives_the_way_over_xyz_and_back(lightness, a, b):
    lab = np.array([lightness, a, b])
    np.testing.assert_allclose(lab_from_xyz(xyz_from_lab(lab)), lab, atol=1e-9)


@given(st.floats(0, 1))
def test_greys_have_no_hue(grey):
    np.testing.assert_allclose(lab_from_srgb([grey] * 3)[1:], 0, atol=1e-9)


def test_many_colours_are_converted_at_once():
    codes = np.random.default_rng(3).uniform(0, 1, (4, 5, 3))
    found = lab_from_srgb(codes)
    assert found.shape == (4, 5, 3)
    np.testing.assert_array_equal(found[2, 3], lab_from_srgb(codes[2, 3]))


def test_a_swatch_of_a_colour_no_screen_has_is_cut_to_the_nearest_channel_values():
    too_orange = (70.0, 90.0, 120.0)
    assert css_hex(too_orange).startswith("#ff")


@pytest.mark.parametrize("lab", [(50.0, 0.0), (50.0, float("nan"), 0.0), [[50.0, 0.0, 0.0]], (50.0, float("inf"), 0.0)])
def test_a_swatch_needs_one_whole_colour(lab):
    with pytest.raises(ValueError, match="a swatch needs one colour of three finite numbers"):
        css_hex(lab)


@pytest.mark.parametrize(
    "convert", [xyz_from_srgb, srgb_from_xyz, lab_from_xyz, xyz_from_lab, lab_from_srgb, srgb_from_lab]
)
@pytest.mark.parametrize("channels", [0.5, [0.5, 0.5], np.zeros((3, 4))])
def test_a_colour_is_three_numbers(convert, channels):
    with pytest.raises(ValueError, match="three numbers along the last axis"):
        convert(channels)
