"""From one way of reading to another: learnt from shades read both ways, told with how far it is out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.cross_reading import CrossReading, cross_reading, nine_in_ten, scale_in_words
from salon.colour.difference import ciede2000

SHADES = np.array(
    [[18.0, 1.5, 1.0], [25.0, 5.6, 9.0], [33.0, 8.0, 14.5], [44.0, 9.0, 20.0], [58.0, 7.5, 24.0], [70.0, 4.0, 21.0]]
)
shades = st.lists(
    st.tuples(st.floats(10, 90), st.floats(-5, 15), st.floats(-5, 30)), min_size=4, max_size=12, unique=True
).map(np.array)


def photo_of(lab):
    """A way of reading that sees everything lighter and warmer: a gain and an offset for each axis."""
    return lab * [0.8, 1.2, 1.1] + [24.0, 1.0, 2.0]


def noisy(random, count, *, of_shade=1.0, of_zone=0.7):
    """Made-up shades read both ways in three zones, the second time with an error of the shade and one of the zone."""
    lightness = random.uniform(15, 80, (count, 1))
    middle = np.hstack(
        [lightness, random.uniform(2, 12, (count, 1)), lightness / 4 + random.uniform(-3, 5, (count, 1))]
    )
    first = middle[:, None] + np.array([[-2.0, -0.3, -0.8], [0.0, 0.0, 0.0], [4.0, 0.6, 2.0]])
    errors = random.normal(0, of_shade, (count, 1, 3)) + random.normal(0, of_zone, (count, 3, 3))
    return first, photo_of(first) + errors


def test_a_line_that_holds_for_every_shade_is_found_and_leaves_nothing():
    way = cross_reading(SHADES, photo_of(SHADES))
    np.testing.assert_allclose(way.gain, [0.8, 1.2, 1.1])
    np.testing.assert_allclose(way.offset, [24.0, 1.0, 2.0])
    assert way.residual == pytest.approx(0, abs=1e-6)
    assert way.pairs == 6
    np.testing.assert_allclose(way.apply([30.0, 6.0, 12.0]), [48.0, 8.2, 15.2])


def test_the_line_is_the_least_squares_line_of_a_general_library():
    # numpy.polyfit, which fits by singular values and not by sums
    first, second = noisy(np.random.default_rng(4), 40)
    way = cross_reading(first, second)
    for axis in range(3):
        gain, offset = np.polyfit(first[..., axis].ravel(), second[..., axis].ravel(), 1)
        assert (way.gain[axis], way.offset[axis]) == pytest.approx((gain, offset))


def test_a_line_is_kept_only_where_it_foretells_shades_better_than_a_shift():
    random = np.random.default_rng(8)
    shifted = SHADES[:4] + np.array([20.0, 1.0, 3.0]) + random.normal(0, 1.0, (4, 3))
    assert cross_reading(SHADES[:4], shifted).gain == (1.0, 1.0, 1.0)


def test_the_residual_is_what_the_others_foretell_of_a_shade_left_out():
    first, second = noisy(np.random.default_rng(11), 9)
    left_out = []
    for place in range(9):
        others = [one for one in range(9) if one != place]
        lines = [np.polyfit(first[others, :, axis].ravel(), second[others, :, axis].ravel(), 1) for axis in range(3)]
        foretold = np.stack([np.polyval(line, first[place, :, axis]) for axis, line in enumerate(lines)], axis=-1)
        left_out.append(ciede2000(foretold, second[place]))
    way = cross_reading(first, second)
    assert way.gain != (1.0, 1.0, 1.0)
    assert way.residual == pytest.approx(nine_in_ten(left_out))


@pytest.mark.parametrize("count", [4, 6, 12, 40])
def test_nine_new_shades_in_ten_lie_within_the_residual(count):
    random = np.random.default_rng(count)
    within = []
    for _ in range(150):
        way = cross_reading(*noisy(random, count))
        new, read = noisy(random, 5)
        reached = way.reaches(new)
        within.extend((ciede2000(way.apply(new), read) <= way.residual)[reached])
    assert np.mean(within) > 0.87


def test_nine_in_ten_of_few_errors_is_the_largest():
    assert nine_in_ten([0.3, 1.2, 0.7]) == 1.2
    assert nine_in_ten(range(1, 10)) == 9
    assert nine_in_ten(range(1, 101)) == 91


@given(shades, st.randoms(use_true_random=False))
def test_the_order_of_the_shades_changes_nothing(first, random):
    second = photo_of(first) + np.sin(first)
    order = random.sample(range(len(first)), len(first))
    way, again = cross_reading(first, second), cross_reading(first[order], second[order])
    assert again.residual == pytest.approx(way.residual, abs=1e-6)
    np.testing.assert_allclose(again.apply(first), way.apply(first), atol=1e-6)


def test_it_does_not_reach_far_beyond_the_shades_it_was_learnt_from():
    way = cross_reading(SHADES, photo_of(SHADES))
    assert way.from_l == (18.0, 70.0)
    assert way.reaches([[12.9, 1, 1], [13.1, 1, 1], [40, 8, 18], [74.9, 3, 20], [75.1, 3, 20]]).tolist() == [
        False,
        True,
        True,
        True,
        False,
    ]


def test_lightness_stays_between_black_and_white():
    way = CrossReading((1.0, 1.0, 1.0), (40.0, 0.0, 0.0), 1.0, 5, (0.0, 100.0))
    assert way.apply([[70.0, 1.0, 2.0], [30.0, 1.0, 2.0]])[:, 0].tolist() == [100.0, 70.0]


def test_shades_all_alike_give_a_shift():
    alike = np.tile([[30.0, 6.0, 11.0]], (5, 1))
    way = cross_reading(alike, np.add(alike, [20.0, 0.0, 1.0]))
    assert way.gain == (1.0, 1.0, 1.0)
    assert way.residual == pytest.approx(0, abs=1e-9)


def test_it_says_from_how_many_shades_and_how_far_it_is_out():
    assert CrossReading((1, 1, 1), (0, 0, 0), 2.34, 8, (0, 100)).words == "by 8 shades read both ways, give or take 2.3"


@pytest.mark.parametrize(
    ("scale", "words"),
    [
        ("instrument", "an instrument"),
        ("card-1", "photos with the grey card"),
        ("chart-2", "photos with the chart"),
    ],
)
def test_a_scale_is_named_for_people(scale, words):
    assert scale_in_words(scale) == words


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (np.empty((0, 3)), np.empty((0, 3)), "It takes 4 shades or more, .*; none was"),
        (SHADES[:1], SHADES[:1], "one was"),
        (SHADES[:3], SHADES[:3], "3 were"),
        (SHADES, SHADES[:4], "one shape"),
        (SHADES[0], SHADES[0], "one shape"),
        (SHADES * np.nan, SHADES, "finite"),
    ],
)
def test_too_few_shades_or_nonsense_is_refused_with_a_sentence(first, second, words):
    with pytest.raises(ValueError, match=words):
        cross_reading(first, second)


def test_what_is_carried_over_is_a_colour():
    with pytest.raises(ValueError, match=r"L\*, a\*, b\* along the last axis"):
        cross_reading(SHADES, SHADES).apply([1.0, 2.0])
