"""Shrunk rates and rankings at their edges: nothing counted, one group, all alike, huge counts, many groups."""

import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.review.ranking import rank
from pieces.review.rates import FEWEST_TO_RANK, rate_of
from pieces.review.shrinking import Shrunk, shrunk

sizes = st.one_of(st.integers(0, 60), st.sampled_from([1_000, 10**6, 10**9]))
pairs = sizes.flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
salons = st.lists(pairs, max_size=25)


@given(salons)
def test_every_share_lies_in_its_interval_and_between_none_and_all(counts):
    found = shrunk(counts)
    assert len(found) == len(counts)
    for group in found:
        if group.share is None:
            assert (group.low, group.high) == (0, 1)
        else:
            assert 0 <= group.low <= group.share <= group.high <= 1


@given(st.lists(pairs, min_size=1, max_size=15), st.randoms(use_true_random=False))
def test_the_order_of_the_groups_does_not_matter(counts, random):
    order = list(range(len(counts)))
    random.shuffle(order)
    shuffled = shrunk([counts[place] for place in order])
    assert [shuffled[order.index(place)] for place in range(len(counts))] == shrunk(counts)


@given(st.lists(pairs, min_size=1, max_size=15))
def test_kept_is_the_mirror_of_returned(counts):
    for group, mirrored in zip(shrunk(counts), shrunk([(n - x, n) for x, n in counts]), strict=True):
        if group.share is not None:
            assert group.share == pytest.approx(1 - mirrored.share, abs=1e-3)
            assert group.low == pytest.approx(1 - mirrored.high, abs=2e-3)


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(30, 60)), min_size=2, max_size=20))
def test_a_share_lies_between_the_lowest_and_the_highest_rate(counts):
    rates = [(x + 0.5) / (n + 1) for x, n in counts]
    for group in shrunk(counts):
        assert min(rates) - 0.02 <= group.share <= max(rates) + 0.02


@given(st.integers(1, 40), st.integers(0, 40))
def test_among_groups_of_one_size_more_returned_is_never_less_likely(n, groups):
    counts = [(place % (n + 1), n) for place in range(groups)]
    by_x = sorted(zip(counts, shrunk(counts), strict=True), key=lambda pair: pair[0])
    shares = [group.share for _, group in by_x]
    assert shares == sorted(shares)


def test_nothing_counted_says_nothing():
    assert shrunk([]) == []
    assert shrunk([(0, 0), (0, 0)]) == [Shrunk(None, 0.0, 1.0)] * 2


def test_a_group_with_nothing_counted_is_taken_for_one_of_the_others():
    *others, newcomer = shrunk([(4, 40), (5, 50), (3, 30), (6, 60), (0, 0)])
    assert newcomer.share == pytest.approx(0.1, abs=0.03)  # few groups leave much open
    assert newcomer.high - newcomer.low > max(group.high - group.low for group in others)


def test_groups_all_alike_share_what_all_of_them_say():
    found = shrunk([(1, 10)] * 30)
    assert {group.share for group in found} == {found[0].share}
    assert found[0].share == pytest.approx(0.1, abs=0.01)
    assert found[0].high - found[0].low < rate_of(1, 10).high - rate_of(1, 10).low


def test_none_anywhere_and_all_everywhere_are_borne():
    assert all(group.low == 0 and group.high < 0.05 for group in shrunk([(0, 20)] * 10))
    assert all(group.high == 1 and group.low > 0.95 for group in shrunk([(20, 20)] * 10))


def test_one_of_one_does_not_lead():
    one, steady, *_ = shrunk([(1, 1), (12, 40), (4, 50), (3, 40), (5, 60), (2, 45), (4, 38)])
    assert one.share < steady.share
    assert one.low < 0.1


def test_a_large_group_keeps_its_own_rate():
    large = shrunk([(250_000, 1_000_000), (1, 30), (3, 40), (2, 20)])[0]
    assert large.share == pytest.approx(0.25, abs=1e-5)
    assert (large.low, large.high) == pytest.approx((rate_of(250_000, 1_000_000).low, 0.250849), abs=5e-5)


def test_a_wider_confidence_gives_a_wider_interval():
    counts = [(2, 30), (5, 40), (1, 25), (9, 50)]
    for usual, wide in zip(shrunk(counts), shrunk(counts, confidence=0.99), strict=True):
        assert wide.low < usual.low < usual.share == wide.share < usual.high < wide.high


@pytest.mark.parametrize("pair", [(-1, 3), (4, 3), (0, -1)])
def test_what_is_no_rate_is_refused(pair):
    with pytest.raises(ValueError, match="is no rate"):
        shrunk([(1, 2), pair])


def test_two_hundred_groups_cost_a_small_multiple_of_twenty():
    """No time is asserted; groups share the work of learning what lies behind them."""
    rng = np.random.default_rng(6)

    def taken(groups):
        n = 1 + rng.geometric(1 / 25, groups)
        counts = list(zip(rng.binomial(n, rng.beta(2, 18, groups)).tolist(), n.tolist(), strict=True))
        shrunk(counts)
        began = time.perf_counter()
        for _ in range(5):
            shrunk(counts)
        return time.perf_counter() - began

    few = taken(20)
    assert taken(200) < 30 * few


def test_a_ranking_leaves_out_those_with_too_few_and_lists_them_apart():
    ranking = rank({"one": (1, 1), "nine": (5, 9), "ten": (1, 10), "steady": (30, 100), "large": (40, 800)})
    assert ranking.ranked[0].key == "steady"
    assert {standing.key for standing in ranking.ranked} == {"ten", "steady", "large"}
    assert [standing.key for standing in ranking.too_few] == ["nine", "one"]
    assert all(standing.rate.n < FEWEST_TO_RANK for standing in ranking.too_few)
    assert (ranking.overall.x, ranking.overall.n) == (77, 920)


def test_only_what_lies_clear_of_the_whole_stands_out():
    ranking = rank({"steady": (30, 100), "large": (40, 800), "like the rest": (8, 100), "too few": (6, 8)})
    marked = {standing.key: (standing.is_above, standing.is_below) for standing in ranking.ranked + ranking.too_few}
    assert marked == {
        "steady": (True, False),
        "large": (False, True),
        "like the rest": (False, False),
        "too few": (False, False),
    }


@given(st.dictionaries(st.integers(0, 30), pairs, max_size=20))
def test_every_group_stands_once_and_in_falling_order(counts):
    ranking = rank(counts)
    assert sorted(standing.key for standing in ranking.ranked + ranking.too_few) == sorted(counts)
    shares = [standing.likely.share for standing in ranking.ranked]
    assert shares == sorted(shares, reverse=True)
