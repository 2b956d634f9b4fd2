"""CIEDE2000 against the 34 pairs that its implementation notes print, and against two general colour libraries."""

from pathlib import Path

import numpy as np
import pytest

from salon.colour.difference import ciede2000

PAIRS = np.loadtxt(Path(__file__).parent / "sharma_2005_table_1.csv", delimiter=",")


def test_the_published_pairs_are_all_there():
    assert PAIRS.shape == (34, 7)


def test_the_published_differences_hold_to_four_decimals():
    found = ciede2000(PAIRS[:, 0:3], PAIRS[:, 3:6])
    np.testing.assert_allclose(found, PAIRS[:, 6], rtol=0, atol=5e-5)  # the paper prints four decimals


def test_swapping_the_published_pairs_changes_no_bit():
    np.testing.assert_array_equal(ciede2000(PAIRS[:, 0:3], PAIRS[:, 3:6]), ciede2000(PAIRS[:, 3:6], PAIRS[:, 0:3]))


@pytest.mark.parametrize("scale", [1 - 2e-16, 1.0, 1 + 3e-16])
def test_hues_exactly_opposite_stay_on_the_side_the_paper_chose(scale):
    # pair 14: 180° apart; a last digit that falls the other way would give 4.7461
    found = ciede2000([50.0, -0.001 * scale, 2.49], [50.0, 0.001, -2.49 * scale])
    assert found == pytest.approx(4.8045, abs=5e-5)


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
def test_two_general_libraries_agree_on_random_colours():
    from colour.difference import delta_E_CIE2000
    from skimage.color import deltaE_ciede2000

    random = np.random.default_rng(20050105)
    one, other = (random.uniform([0, -90, -90], [100, 90, 90], (20_000, 3)) for _ in range(2))
    found = ciede2000(one, other)
    np.testing.assert_allclose(found, delta_E_CIE2000(one, other), rtol=0, atol=1e-9)
    np.testing.assert_allclose(found, deltaE_ciede2000(one, other), rtol=0, atol=1e-9)
