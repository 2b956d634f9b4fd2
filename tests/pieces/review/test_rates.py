"""A rate, its interval, and what may be ranked; the published values are in tests/published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri

from pieces.review.rates import FEWEST_TO_RANK, rate_of

counts = st.integers(0, 10**9).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(counts)
def test_the_share_lies_in_its_interval_and_between_none_and_all(pair):
    rate = rate_of(*pair)
    assert 0 <= rate.low <= rate.high <= 1
    if rate.n:
        assert rate.low <= rate.share <= rate.high


@given(counts)
def test_the_ends_solve_wilson_s_equation(pair):
    """|p̂ − p| = z √(p(1 − p)/n) at both ends, which is how the interval is defined."""
    rate = rate_of(*pair)
    z = float(ndtri(0.975))
    for end in (rate.low, rate.high):
        if 0 < end < 1:
            assert abs(rate.share - end) == pytest.approx(z * (end * (1 - end) / rate.n) ** 0.5, rel=1e-4)


def test_none_of_none_is_unknown():
    rate = rate_of(0, 0)
    assert (rate.share, rate.low, rate.high) == (None, 0, 1)


def test_none_and_all_reach_the_ends():
    assert rate_of(0, 12).low == 0
    assert rate_of(12, 12).high == 1


def test_more_counted_is_surer():
    assert rate_of(10, 100).high - rate_of(10, 100).low > rate_of(100, 1000).high - rate_of(100, 1000).low


def test_only_enough_counted_may_be_ranked():
    assert not rate_of(9, FEWEST_TO_RANK - 1).may_be_ranked
    assert rate_of(0, FEWEST_TO_RANK).may_be_ranked


@pytest.mark.parametrize("pair", [(-1, 3), (4, 3), (0, -1)])
def test_what_is_no_rate_is_refused(pair):
    with pytest.raises(ValueError, match="is no rate"):
        rate_of(*pair)
