"""What a day and a time on the wall clock mean, also where the clock is changed at midnight or leaves a day out."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.hours.spans import Span
from fittings.hours.wall_clock import (
    NoSuchTime,
    TwiceThatTime,
    day_begins,
    hours_on,
    moment_at,
    steps_of_day,
    whole_day,
)

LONDON = ZoneInfo("Europe/London")
ZONES = [
    ZoneInfo(name)
    for name in (
        "Europe/London",
        "America/New_York",
        "Australia/Lord_Howe",
        "Asia/Kathmandu",  # 5 h 45 min from UTC
        "America/Havana",  # changes at midnight
        "Africa/Casablanca",  # changes for Ramadan
    )
]


def test_an_ordinary_time_is_the_moment_at_which_the_clock_shows_it():
    assert moment_at(date(2026, 7, 1), time(9, 15), LONDON) == datetime(2026, 7, 1, 8, 15, tzinfo=UTC)


@pytest.mark.parametrize("second", [None, False, True])
def test_which_of_two_is_not_looked_at_where_there_is_one(second):
    assert moment_at(date(2026, 1, 5), time(9), LONDON, second=second) == datetime(2026, 1, 5, 9, tzinfo=UTC)


def test_a_time_that_does_not_exist_is_refused_in_a_sentence():
    with pytest.raises(NoSuchTime) as refusal:
        moment_at(date(2026, 3, 29), time(1, 30), LONDON)
    assert refusal.value.says == (
        "There is no 01:30 on Sunday 29 March 2026: the clock goes from 01:00 straight to 02:00."
    )


def test_a_time_that_comes_twice_asks_which_in_a_sentence():
    with pytest.raises(TwiceThatTime) as question:
        moment_at(date(2026, 10, 25), time(1, 30), LONDON)
    assert question.value.says == (
        "01:30 comes twice on Sunday 25 October 2026, for the clock goes back from 02:00 to 01:00:"
        " say which is meant, the first (BST, UTC+01:00) or the later (GMT, UTC+00:00)."
    )
    assert question.value.first == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert question.value.later == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_a_zone_without_names_for_its_offsets_is_asked_about_by_the_offsets():
    with pytest.raises(TwiceThatTime, match=r"the first \(UTC\+11:00\) or the later \(UTC\+10:30\)"):
        moment_at(date(2026, 4, 5), time(1, 45), ZoneInfo("Australia/Lord_Howe"))


def test_a_day_whose_midnight_the_clock_jumps_over_begins_at_one():
    havana = ZoneInfo("America/Havana")  # 8 March 2026, 00:00 to 01:00. COMPUTED from tzdata
    assert day_begins(date(2026, 3, 8), havana).astimezone(havana).hour == 1
    whole = whole_day(date(2026, 3, 8), havana)
    assert whole.ends_at - whole.starts_at == timedelta(hours=23)
    assert len(steps_of_day(date(2026, 3, 8), 15, havana)) == 92


def test_a_day_that_a_place_left_out_has_no_time():
    apia, left_out = ZoneInfo("Pacific/Apia"), date(2011, 12, 30)  # Samoa crossed the date line. COMPUTED from tzdata
    assert whole_day(left_out, apia) is None
    assert hours_on(left_out, time(9), time(17), apia) is None
    assert steps_of_day(left_out, 15, apia) == []
    with pytest.raises(NoSuchTime):
        moment_at(left_out, time(9), apia)


def test_hours_that_end_before_they_begin_are_none():
    assert hours_on(date(2026, 3, 2), time(17), time(9), LONDON) is None
    assert hours_on(date(2026, 3, 2), time(9), time(9), LONDON) is None


some_days = st.dates(date(2025, 1, 1), date(2027, 12, 31))


@given(some_days, st.times().map(lambda at: at.replace(second=0, microsecond=0)), st.sampled_from(ZONES))
def test_the_clock_shows_the_time_at_the_moment_found_for_it(day, at, zone):
    try:
        moments = [moment_at(day, at, zone)]
    except NoSuchTime as refusal:
        around = [
            (refusal.jumps_at - timedelta(minutes=early)).astimezone(zone).replace(tzinfo=None) for early in (1, 0)
        ]
        assert around[0] < datetime.combine(day, at) < around[1]
        return
    except TwiceThatTime as question:
        moments = [question.first, question.later]
    assert moments == sorted(set(moments))
    for moment in moments:
        assert moment.astimezone(zone).replace(tzinfo=None) == datetime.combine(day, at)


@given(some_days, st.sampled_from(ZONES), st.sampled_from([5, 15, 30, 60]))
def test_the_steps_of_a_day_lie_on_its_clock_and_none_is_missing(day, zone, step):
    found, whole = steps_of_day(day, step, zone), whole_day(day, zone)
    minutes = (whole.ends_at - whole.starts_at) // timedelta(minutes=1)
    every = [whole.starts_at + timedelta(minutes=number) for number in range(minutes)]
    on_the_clock = [
        at for at in every if (local := at.astimezone(zone)) and (60 * local.hour + local.minute) % step == 0
    ]
    assert found == on_the_clock


@given(some_days, st.sampled_from(ZONES))
def test_days_follow_each_other_without_a_gap(day, zone):
    assert whole_day(day, zone) == Span(day_begins(day, zone), day_begins(day + timedelta(days=1), zone))
