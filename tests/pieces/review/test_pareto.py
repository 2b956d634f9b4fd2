"""Reasons from the most frequent down, with the share reached so far."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.review.pareto import pareto

# Counts of the kind that courses on quality print; the shares are sums and quotients
COUNTS = {"slips": 42, "colour": 28, "heavy": 16, "sheds": 8, "long": 4, "else": 2}


def test_bars_fall_and_shares_add_up():
    bars = pareto(COUNTS)
    assert [bar.count for bar in bars] == [42, 28, 16, 8, 4, 2]
    assert [round(bar.reached, 2) for bar in bars] == [0.42, 0.70, 0.86, 0.94, 0.98, 1]


def test_the_few_are_those_that_make_four_fifths():
    assert [bar.key for bar in pareto(COUNTS) if bar.is_of_the_few] == ["slips", "colour", "heavy"]


def test_each_bar_has_its_interval():
    slips = pareto(COUNTS)[0].rate
    assert (slips.x, slips.n) == (42, 100)
    assert slips.low < 0.42 < slips.high


def test_what_never_happened_has_no_bar():
    assert pareto({"a": 0, "b": 0}) == []
    assert pareto({}) == []


def test_below_zero_is_refused():
    with pytest.raises(ValueError, match="zero or more"):
        pareto({"a": -1})


@given(st.dictionaries(st.text(max_size=4), st.integers(0, 10_000), max_size=20))
def test_it_ends_at_all_and_loses_none(counts):
    bars = pareto(counts)
    assert sum(bar.count for bar in bars) == sum(counts.values())
    reached = [bar.reached for bar in bars]
    assert reached == sorted(reached)
    assert not bars or reached[-1] == 1
    few = [bar.is_of_the_few for bar in bars]
    assert few == sorted(few, reverse=True)
