"""The algebra of spans, against sets of minutes."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.hours.spans import Span, common, merged, minus

BEGIN = datetime(2026, 3, 2, 9, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")


def minute(number):
    return BEGIN + timedelta(minutes=number)


def span(first, last):
    return Span(minute(first), minute(last))


some_spans = st.lists(
    st.tuples(st.integers(0, 40), st.integers(1, 15)).map(lambda pair: span(pair[0], sum(pair))), max_size=8
)


def minutes_of(spans):
    return {number for number in range(60) for one in spans if one.starts_at <= minute(number) < one.ends_at}


def lie_apart(spans):
    return all(one.ends_at < other.starts_at for one, other in pairwise(spans))


@given(some_spans)
def test_merged_is_the_same_time_in_spans_that_lie_apart(spans):
    found = merged(spans)
    assert minutes_of(found) == minutes_of(spans)
    assert lie_apart(found)


@given(some_spans, some_spans)
def test_minus_is_the_difference_of_the_minutes(spans, taken):
    found = minus(spans, taken)
    assert minutes_of(found) == minutes_of(spans) - minutes_of(taken)
    assert lie_apart(found)


@given(some_spans, some_spans)
def test_common_is_the_intersection_of_the_minutes(one, other):
    found = common(one, other)
    assert minutes_of(found) == minutes_of(one) & minutes_of(other)
    assert lie_apart(found)
    assert found == common(other, one)


@given(some_spans, some_spans)
def test_what_is_left_and_what_is_shared_is_all_there_was(one, other):
    assert merged(minus(one, other) + common(one, other)) == merged(one)


@given(some_spans, some_spans)
def test_two_spans_share_time_when_they_share_a_minute(one, other):
    for ours, theirs in zip(one, other, strict=False):
        assert ours.shares_time_with(theirs) == bool(minutes_of([ours]) & minutes_of([theirs]))
        assert ours.holds(theirs) == (minutes_of([theirs]) <= minutes_of([ours]))


def test_touching_spans_are_one_and_share_nothing():
    assert merged([span(30, 45), span(0, 30)]) == [span(0, 45)]
    assert common([span(0, 30)], [span(30, 45)]) == []
    assert not span(0, 30).shares_time_with(span(30, 45))


@pytest.mark.parametrize("length", [0, -1])
def test_a_span_ends_after_it_begins(length):
    with pytest.raises(ValueError, match="ends after it begins, got 2026-03-02 09:30"):
        span(30, 30 + length)


def test_a_span_without_a_zone_is_refused():
    naive = datetime(2026, 3, 2, 9)  # noqa: DTZ001  # a moment without a zone is what is refused
    with pytest.raises(ValueError, match="with a time zone"):
        Span(naive, naive + timedelta(hours=1))


def test_a_span_over_the_night_of_a_change_is_as_long_as_the_time_that_passes():
    # the clock of one zone says 00:30 to 01:30; Python would call that an hour, but the clock goes back in between
    night = Span(datetime(2026, 10, 25, 0, 30, tzinfo=LONDON), datetime(2026, 10, 25, 1, 30, fold=1, tzinfo=LONDON))
    assert night.ends_at - night.starts_at == timedelta(hours=2)
    backwards = datetime(2026, 10, 25, 1, 10, fold=1, tzinfo=LONDON)
    assert Span(datetime(2026, 10, 25, 1, 50, tzinfo=LONDON), backwards).starts_at.tzinfo is UTC
