"""One spot of a photo: which pixels it holds, its median without shine and gaps, and what counts as clipped."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.lab import linear_from_srgb
from salon.colour.marks import Spot
from salon.colour.regions import (
    OF_HAIR,
    Tails,
    medians,
    quarters_of,
    samples_of,
    share_on_the_photo,
    summed_up,
)

ALL = Tails(0, 0)
codes = st.lists(st.integers(0, 255), min_size=1, max_size=60)


def grey(*values):
    return np.repeat(np.array(values, dtype=np.uint8)[:, None], 3, axis=1)


def places(width, height):
    """A photo whose pixels say where they are: column in red, row in green."""
    photo = np.zeros((height, width, 3), dtype=np.uint8)
    photo[..., 0], photo[..., 1] = np.arange(width), np.arange(height)[:, None]
    return photo


def test_a_spot_holds_the_pixels_whose_middles_lie_in_it():
    found = samples_of(places(200, 100), Spot(0.5, 0.5, 0.05))
    assert len(found) == pytest.approx(np.pi * 10**2, rel=0.02)
    middles = found[:, :2] + 0.5
    assert np.hypot(*(middles - [100, 50]).T).max() <= 10
    assert tuple(found[:, :2].mean(axis=0)) == (99.5, 49.5)


def test_the_radius_is_a_share_of_the_longer_side_whichever_way_the_photo_stands():
    lying, standing = places(200, 100), places(100, 200)
    assert len(samples_of(lying, Spot(0.5, 0.5, 0.05))) == len(samples_of(standing, Spot(0.5, 0.5, 0.05)))


def test_a_spot_over_the_edge_holds_what_lies_on_the_photo():
    assert share_on_the_photo(Spot(0.5, 0.5, 0.05), 200, 100) == pytest.approx(1)
    assert share_on_the_photo(Spot(0, 0.5, 0.05), 200, 100) == pytest.approx(0.5)
    assert share_on_the_photo(Spot(1, 1, 0.05), 200, 100) == pytest.approx(0.25)
    whole = len(samples_of(places(200, 100), Spot(0.5, 0.5, 0.05)))
    assert len(samples_of(places(200, 100), Spot(1, 1, 0.05))) == pytest.approx(whole / 4, abs=3)


def test_a_large_spot_is_thinned_out():
    whole = np.zeros((1000, 1000, 3), dtype=np.uint8)
    assert 2_500 < len(samples_of(whole, Spot(0.5, 0.5, 0.1))) <= 5_000


@given(codes)
def test_the_median_within_its_code_lies_within_half_a_code_of_it(values):
    counts = np.bincount(values, minlength=256)[None]
    found = float(medians(counts)[0])
    assert np.percentile(values, 50, method="lower") - 0.5 <= found <= np.percentile(values, 50, method="higher") + 0.5


@given(st.integers(0, 255), st.integers(1, 9))
def test_one_colour_is_its_own_median(code, times):
    assert medians(np.bincount([code] * times, minlength=256)[None])[0] == code


def test_the_median_follows_a_dark_colour_that_noise_spreads_over_few_codes():
    random = np.random.default_rng(2)
    for level in (3.2, 3.5, 3.8):
        noisy = np.rint(random.normal(level, 1.5, 200_000)).clip(0).astype(int)
        assert medians(np.bincount(noisy, minlength=256)[None])[0] == pytest.approx(level, abs=0.03)


def test_shine_and_gaps_do_not_change_the_colour():
    hair, shine, gaps = [60] * 80, [250] * 12, [5] * 8
    found = summed_up(grey(*hair, *shine, *gaps), OF_HAIR)
    np.testing.assert_allclose(found.linear, linear_from_srgb(60 / 255))
    assert found.n == 100 - 10 - 15
    assert found.too_light is None
    assert found.too_dark is None


def test_over_one_percent_at_the_top_of_a_channel_is_too_light():
    def with_white(times):
        samples = grey(*range(100, 200), *range(100, 200))
        samples[:times, 0] = 255
        return summed_up(samples, ALL)

    assert with_white(2).too_light is None
    assert with_white(3).too_light == ("red", pytest.approx(0.015))


def test_gaps_and_noise_of_black_hair_reach_the_bottom_and_it_is_still_read():
    black = np.rint(np.random.default_rng(1).normal(3.5, 2, (5_000, 3))).clip(0).astype(np.uint8)
    assert (black == 0).mean() > 0.06
    found = summed_up(black, OF_HAIR)
    assert found.too_dark is None
    np.testing.assert_allclose(found.linear, linear_from_srgb(3.5 / 255), rtol=0.1)


def test_hair_whose_lower_quartile_stands_on_the_bottom_is_too_dark():
    crushed = np.rint(np.random.default_rng(1).normal(0.8, 2, (5_000, 3))).clip(0).astype(np.uint8)
    channel, share = summed_up(crushed, OF_HAIR).too_dark
    assert channel in ("red", "green", "blue")
    assert share > 0.01
    assert summed_up(grey(*[0] * 50), OF_HAIR).too_dark == ("red", 1.0)


def test_a_shadow_over_one_side_shows_in_the_quarters():
    photo = np.full((100, 100, 3), 118, dtype=np.uint8)
    even = quarters_of(photo, Spot(0.5, 0.5, 0.2))
    np.testing.assert_allclose(even, linear_from_srgb(118 / 255))
    photo[:, :45] = 60
    left_above, left_below, right_above, right_below = quarters_of(photo, Spot(0.5, 0.5, 0.2))[:, 1]
    assert left_above == pytest.approx(left_below, rel=0.02)
    assert right_above == right_below == pytest.approx(linear_from_srgb(118 / 255))
    assert left_above < 0.6 * right_above


def test_a_spot_without_a_pixel_is_refused():
    with pytest.raises(ValueError, match="holds no pixel"):
        summed_up(np.zeros((0, 3), dtype=np.uint8), ALL)
