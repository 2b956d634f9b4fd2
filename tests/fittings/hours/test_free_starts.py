"""Where a visit can begin, against a plain model that looks at every minute."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fittings.hours.free_starts import free_starts
from fittings.hours.spans import Span, merged

BEGIN = datetime(2026, 3, 2, 9, tzinfo=UTC)
MINUTES = 240
some_spans = st.lists(
    st.tuples(st.integers(0, 200), st.integers(1, 40)).map(
        lambda pair: Span(BEGIN + timedelta(minutes=pair[0]), BEGIN + timedelta(minutes=sum(pair)))
    ),
    max_size=6,
).map(merged)
STARTS = [BEGIN + timedelta(minutes=15 * number) for number in range(16)]


def free_minutes(spans):
    every = {number: BEGIN + timedelta(minutes=number) for number in range(MINUTES)}
    return {number for number, at in every.items() if any(span.starts_at <= at < span.ends_at for span in spans)}


@given(
    st.lists(some_spans, max_size=3),
    st.lists(some_spans, max_size=3),
    st.integers(5, 60),
    st.integers(0, 30),
)
def test_it_finds_the_starts_of_a_model_that_looks_at_every_minute(stylists, places, minutes, clean_up):
    hers, theirs = [free_minutes(spans) for spans in stylists], [free_minutes(spans) for spans in places]
    expected = []
    for start in STARTS:
        begins = (start - BEGIN) // timedelta(minutes=1)
        visit, with_clean_up = set(range(begins, begins + minutes)), set(range(begins, begins + minutes + clean_up))
        where = [number for number, free in enumerate(theirs) if with_clean_up <= free]
        expected += [(start, number, where[0]) for number, free in enumerate(hers) if visit <= free and where]
    found = free_starts(
        starts=STARTS, stylists_free=stylists, places_free=places, minutes=minutes, clean_up_minutes=clean_up
    )
    assert list(found) == expected


def test_a_visit_that_fills_the_free_time_to_the_minute_fits():
    hour, longer = Span(BEGIN, BEGIN + timedelta(minutes=60)), Span(BEGIN, BEGIN + timedelta(minutes=75))
    how = {"starts": STARTS, "minutes": 60, "clean_up_minutes": 15}
    assert list(free_starts(stylists_free=[[hour]], places_free=[[longer]], **how)) == [(BEGIN, 0, 0)]
    assert list(free_starts(stylists_free=[[hour]], places_free=[[hour]], **how)) == []


def test_without_a_start_a_stylist_or_a_place_there_is_nothing():
    hour = [Span(BEGIN, BEGIN + timedelta(minutes=60))]
    how = {"minutes": 30, "clean_up_minutes": 0}
    assert not list(free_starts(starts=[], stylists_free=[hour], places_free=[hour], **how))
    assert not list(free_starts(starts=STARTS, stylists_free=[], places_free=[hour], **how))
    assert not list(free_starts(starts=STARTS, stylists_free=[hour], places_free=[], **how))
