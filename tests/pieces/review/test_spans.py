"""Spans of days, and their names."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.review.spans import NAMED, USUAL, Span, span_named

days = st.dates(date(1990, 1, 1), date(2100, 1, 1))
TODAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("name", "since", "until"),
    [
        ("90-days", date(2026, 8, 29), TODAY),
        ("180-days", date(2026, 5, 31), TODAY),
        ("12-months", date(2025, 11, 27), TODAY),
        ("24-months", date(2024, 11, 27), TODAY),
        ("this-year", date(2026, 1, 1), TODAY),
        ("last-year", date(2025, 1, 1), date(2025, 12, 31)),
    ],
)
def test_a_name_gives_its_days(name, since, until):
    assert span_named(name, on=TODAY) == Span(since, until)


def test_a_leap_day_has_a_year_before_it():
    assert span_named("12-months", on=date(2024, 2, 29)) == Span(date(2023, 3, 1), date(2024, 2, 29))


@given(days, st.sampled_from(sorted(NAMED)))
def test_every_name_gives_a_span_on_every_day(on, name):
    assert span_named(name, on=on).until <= on


def test_an_unknown_name_is_answered_with_those_there_are():
    with pytest.raises(ValueError, match=f"'ever'; there are .*{USUAL}"):
        span_named("ever", on=TODAY)


def test_an_end_before_the_beginning_is_refused():
    with pytest.raises(ValueError, match="is before"):
        Span(TODAY, TODAY - timedelta(days=1))


@given(days, st.integers(0, 2000))
def test_both_ends_count(since, more):
    assert Span(since, since + timedelta(days=more)).days == more + 1
