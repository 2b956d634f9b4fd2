"""CIEDE2000: shapes, symmetry, missing colours; the published pairs are in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.difference import PAIRS_AT_A_TIME, ciede2000

axis = st.floats(-120, 120) | st.sampled_from([0.0, -0.0, 1e-9, -1e-200, 5e-324])
colours = st.tuples(st.floats(0, 100), axis, axis)


@given(colours, colours)
def test_swapping_two_colours_changes_no_bit(one, other):
    assert ciede2000(one, other) == ciede2000(other, one)


@given(colours, colours)
def test_a_difference_is_a_finite_number_of_zero_or_more(one, other):
    assert 0 <= ciede2000(one, other) < 1000


@given(colours)
def test_a_colour_does_not_differ_from_itself(colour):
    assert ciede2000(colour, colour) == 0


@given(colours, colours)
def test_one_pair_at_a_time_agrees_with_a_general_library(one, other):
    from skimage.color import deltaE_ciede2000

    hue_1, hue_2 = (np.degrees(np.arctan2(colour[2], colour[1])) % 360 for colour in (one, other))
    if abs(abs(hue_1 - hue_2) - 180) > 1e-3:  # the other library has no tolerance there
        assert ciede2000(one, other) == pytest.approx(float(deltaE_ciede2000(one, other)), abs=1e-6)


def test_readings_against_shades_broadcast_to_every_pair():
    random = np.random.default_rng(5)
    readings, shades = random.uniform(0, 60, (3, 3)), random.uniform(0, 60, (7, 3))
    found = ciede2000(readings[:, None], shades)
    assert found.shape == (3, 7)
    assert found[2, 4] == ciede2000(readings[2], shades[4])


def test_more_pairs_than_fit_a_block_give_what_each_gives_alone():
    random = np.random.default_rng(6)
    one, other = (random.uniform([0, -60, -60], [100, 60, 60], (PAIRS_AT_A_TIME + 3, 3)) for _ in range(2))
    found = ciede2000(one, other)
    for place in (0, PAIRS_AT_A_TIME - 1, PAIRS_AT_A_TIME, PAIRS_AT_A_TIME + 2):
        # the sines of an array may differ from those of one number in the last digit
        assert found[place] == pytest.approx(float(ciede2000(one[place], other[place])), rel=1e-13)


def test_a_colour_not_measured_leaves_its_pair_without_a_number():
    found = ciede2000([[40.0, 5.0, 9.0], [np.nan] * 3], [40.0, 5.0, 9.0])
    assert found[0] == 0
    assert np.isnan(found[1])


def test_the_colours_handed_in_stay_as_they_were():
    one, other = np.array([[40.0, 5.0, -9.0]]), np.array([[42.0, -3.0, 11.0]])
    ciede2000(one, other)
    assert one.tolist() == [[40.0, 5.0, -9.0]]
    assert other.tolist() == [[42.0, -3.0, 11.0]]


def test_no_pairs_give_no_differences():
    assert ciede2000(np.empty((0, 3)), [40.0, 5.0, 9.0]).shape == (0,)


@pytest.mark.parametrize("wrong", [[50.0, 1.0], 50.0, np.zeros((3, 2))])
def test_a_colour_without_three_numbers_is_refused(wrong):
    with pytest.raises(ValueError, match=r"L\*, a\*, b\* along the last axis"):
        ciede2000(wrong, [50.0, 0.0, 0.0])
