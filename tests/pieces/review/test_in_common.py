"""What returned pieces had in common: effects, their words, and when there are too few to say."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.review.in_common import (
    FEWEST_RETURNED,
    FEWEST_TO_COMPARE,
    Factor,
    Says,
    Side,
    compare,
    holm,
    ratio_interval,
)
from pieces.review.rates import rate_of

MARGIN = Factor("margin_mm", Side.UNDER, 10, house_number=13)
COLOUR = Factor("colour_difference", Side.OVER, 4, house_number=4)
FIRST = Factor("is_first_piece", Side.YES)
SPLIT = st.tuples(st.integers(0, 200), st.integers(0, 200))


def only(factor, kept, returned):
    [effect] = compare([factor], {factor.key: kept}, {factor.key: returned})
    return effect


def test_a_thin_margin_that_comes_back_three_times_as_often_speaks_for_the_rule():
    effect = only(MARGIN, kept=(70, 450), returned=(30, 50))
    assert effect.ratio == pytest.approx(3.0)
    assert effect.low < 3 < effect.high
    assert (effect.having.x, effect.having.n, effect.lacking.x, effect.lacking.n) == (30, 100, 50, 500)
    assert effect.says is Says.FOR
    assert effect.is_found


def test_where_the_rule_is_laxer_than_what_harms_it_speaks_for_a_stricter_one():
    lax = Factor("margin_mm", Side.UNDER, 10, house_number=8)
    assert only(lax, kept=(70, 450), returned=(30, 50)).says is Says.STRICTER
    lax = Factor("colour_difference", Side.OVER, 4, house_number=6)
    assert only(lax, kept=(70, 450), returned=(30, 50)).says is Says.STRICTER
    assert only(COLOUR, kept=(70, 450), returned=(30, 50)).says is Says.FOR


def test_what_comes_back_less_often_speaks_against_the_rule():
    assert only(MARGIN, kept=(290, 220), returned=(10, 80)).says is Says.AGAINST


def test_without_a_house_number_it_is_only_said_which_comes_back_more():
    assert only(FIRST, kept=(70, 450), returned=(30, 50)).says is Says.MORE
    assert only(FIRST, kept=(290, 220), returned=(10, 80)).says is Says.LESS


def test_a_difference_that_chance_makes_is_none():
    effect = only(MARGIN, kept=(90, 440), returned=(10, 60))
    assert effect.says is Says.NOTHING
    assert not effect.is_found
    assert effect.low < 1 < effect.high


@pytest.mark.parametrize(
    ("kept", "returned"),
    [
        ((FEWEST_TO_COMPARE - 6, 400), (5, 40)),  # one too few with the trait
        ((400, FEWEST_TO_COMPARE - 6), (40, 5)),  # one too few without it
        ((100, 100), (FEWEST_RETURNED - 1, 0)),  # one too few came back
        ((0, 0), (0, 0)),
    ],
)
def test_under_the_stated_counts_there_are_too_few_to_say(kept, returned):
    effect = only(MARGIN, kept, returned)
    assert effect.says is Says.TOO_FEW
    assert effect.p is None
    assert effect.looked_at == 0


def test_at_the_stated_counts_it_is_said():
    assert only(MARGIN, (FEWEST_TO_COMPARE - 10, 390), (10, 10)).says is Says.FOR


def test_a_factor_nobody_counted_is_too_few_to_say():
    [effect] = compare([MARGIN], {}, {})
    assert effect.says is Says.TOO_FEW
    assert (effect.ratio, effect.low, effect.high) == (None, 0, inf)


def test_p_is_corrected_for_how_many_were_looked_at_and_not_for_those_with_too_few():
    factors = [MARGIN, COLOUR, FIRST, Factor("cover", Side.UNDER, 0.9)]
    kept = {"margin_mm": (80, 450), "colour_difference": (80, 450), "is_first_piece": (90, 450), "cover": (3, 4)}
    returned = {"margin_mm": (20, 50), "colour_difference": (10, 60), "is_first_piece": (12, 58), "cover": (1, 1)}
    margin, colour, first, cover = compare(factors, kept, returned)
    assert margin.p == pytest.approx(3 * only(MARGIN, (80, 450), (20, 50)).p)
    assert margin.looked_at == colour.looked_at == first.looked_at == 3
    assert cover.p is None


def test_one_that_would_pass_alone_may_not_pass_among_many():
    alone = only(MARGIN, (84, 440), (16, 44))
    assert alone.is_found
    others = [Factor(f"other {number}", Side.YES) for number in range(5)]
    split = {factor.key: (90, 450) for factor in others}
    back = {factor.key: (10, 50) for factor in others}
    crowded = compare([MARGIN, *others], {"margin_mm": (84, 440), **split}, {"margin_mm": (16, 44), **back})[0]
    assert crowded.says is Says.NOTHING
    assert (crowded.low, crowded.high) == (alone.low, alone.high)


def test_no_return_without_the_trait_sets_no_upper_limit():
    effect = only(MARGIN, kept=(60, 400), returned=(12, 0))
    assert effect.ratio is None
    assert effect.high == inf
    assert effect.low > 5
    assert effect.says is Says.FOR


def test_a_count_below_zero_is_refused():
    with pytest.raises(ValueError, match="is no rate"):
        only(MARGIN, kept=(10, 10), returned=(-1, 3))


@given(SPLIT, SPLIT)
def test_the_ratio_lies_in_its_interval(kept, returned):
    effect = only(MARGIN, kept, returned)
    assert 0 <= effect.low <= effect.high
    if effect.ratio is not None:
        assert effect.low <= effect.ratio * (1 + 1e-6)
        assert effect.ratio <= effect.high * (1 + 1e-6)


@given(SPLIT, SPLIT)
def test_the_other_way_round_the_ratio_is_turned_over(kept, returned):
    one, other = only(MARGIN, kept, returned), only(MARGIN, kept[::-1], returned[::-1])
    assert one.p == other.p or one.p == pytest.approx(other.p)
    if one.low > 0 and one.high < inf:
        assert (1 / one.high, 1 / one.low) == pytest.approx((other.low, other.high), rel=1e-6)


@pytest.mark.parametrize("scale", [1, 100, 10_000])
def test_huge_counts_are_borne(scale):
    low, high = ratio_interval(rate_of(30 * scale, 100 * scale), rate_of(50 * scale, 500 * scale))
    assert low < 3 < high
    assert high - low < 5 / scale**0.5


@given(st.lists(st.floats(0, 1), max_size=12))
def test_a_corrected_p_is_no_smaller_no_more_than_one_and_keeps_the_order(p_values):
    corrected = holm(p_values)
    assert all(raw <= new <= 1 for raw, new in zip(p_values, corrected, strict=True))
    by_raw = [new for _, new in sorted(zip(p_values, corrected, strict=True))]
    assert by_raw == sorted(by_raw)
