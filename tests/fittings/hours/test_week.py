"""Opening and working hours over several days, against a clock that is looked at every minute."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from fittings.hours.spans import Span
from fittings.hours.week import DayHours, DayRule, Week, days_from, open_spans

LONDON, LORD_HOWE = ZoneInfo("Europe/London"), ZoneInfo("Australia/Lord_Howe")
NINE_TO_FIVE = DayHours(time(9), time(17))
MONDAY = date(2026, 3, 2)


def utc(day, hour, minute=0):
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


def test_a_weekday_without_hours_has_no_open_time():
    assert open_spans(MONDAY, MONDAY + timedelta(days=6), Week({1: NINE_TO_FIVE}), (), LONDON) == [
        Span(utc(2, 9), utc(2, 17))
    ]


def test_no_hours_at_all_are_no_limit():
    assert open_spans(MONDAY, MONDAY + timedelta(days=1), Week(), (), LONDON) == [Span(utc(2, 0), utc(4, 0))]


def test_a_week_of_which_every_day_is_closed_is_not_the_same_as_no_limit():
    assert open_spans(MONDAY, MONDAY, Week({}), (), LONDON) == []


def test_a_break_lies_between_two_spans_and_one_at_the_edge_shortens_the_day():
    lunch = Week({1: DayHours(time(9), time(17), time(12), time(12, 30))})
    assert open_spans(MONDAY, MONDAY, lunch, (), LONDON) == [
        Span(utc(2, 9), utc(2, 12)),
        Span(utc(2, 12, 30), utc(2, 17)),
    ]
    late = Week({1: DayHours(time(9), time(17), time(9), time(10))})
    assert open_spans(MONDAY, MONDAY, late, (), LONDON) == [Span(utc(2, 10), utc(2, 17))]


def test_a_closed_day_is_closed_with_and_without_a_limit():
    works = DayRule(MONDAY, MONDAY, "works")
    assert open_spans(MONDAY, MONDAY, Week({1: NINE_TO_FIVE}), [works], LONDON) == []
    assert open_spans(MONDAY, MONDAY + timedelta(days=1), Week(), [works], LONDON) == [Span(utc(3, 0), utc(4, 0))]


def test_a_short_day_takes_away_and_never_adds():
    short = DayRule(MONDAY, MONDAY + timedelta(days=1), "stocktaking", time(8), time(12))
    week = Week({1: NINE_TO_FIVE})
    assert open_spans(MONDAY, MONDAY + timedelta(days=1), week, [short], LONDON) == [Span(utc(2, 9), utc(2, 12))]
    outside = DayRule(MONDAY, MONDAY, "an evening", time(18), time(20))
    assert open_spans(MONDAY, MONDAY, week, [outside], LONDON) == []


def test_two_rules_for_a_day_both_hold():
    rules = [DayRule(MONDAY, MONDAY, "one", time(10), time(15)), DayRule(MONDAY, MONDAY, "other", time(12), time(17))]
    assert open_spans(MONDAY, MONDAY, Week({1: NINE_TO_FIVE}), rules, LONDON) == [Span(utc(2, 12), utc(2, 15))]


def test_a_day_without_limit_is_as_long_as_it_is():
    for zone, day, hours in [
        (LONDON, date(2026, 3, 29), 23),
        (LONDON, date(2026, 10, 25), 25),
        (LORD_HOWE, date(2026, 10, 4), 23.5),
        (LORD_HOWE, date(2026, 4, 5), 24.5),
    ]:
        (span,) = open_spans(day, day, Week(), (), zone)
        assert span.ends_at - span.starts_at == timedelta(hours=hours)


def test_the_same_wall_clock_hours_are_other_moments_after_the_change():
    sundays = Week({7: NINE_TO_FIVE})
    before, after = open_spans(date(2026, 3, 22), date(2026, 3, 29), sundays, (), LONDON)
    assert (before.starts_at.hour, after.starts_at.hour) == (9, 8)


# Hours that begin or end in a doubled hour are `hours_on`'s own rule; here they begin and end beside it
begins, ends = st.sampled_from([time(0), time(0, 30), time(9)]), st.sampled_from([time(12, 30), time(17), time(23, 45)])
breaks = st.sampled_from([(None, None), (time(12), time(12, 30)), (time(11), time(12, 15))])
day_hours = st.builds(lambda b, e, pause: DayHours(b, e, *pause), begins, ends, breaks)
weeks = st.one_of(st.none(), st.dictionaries(st.integers(1, 7), day_hours)).map(Week)
CHANGES = [
    (LONDON, date(2026, 3, 29)),
    (LONDON, date(2026, 10, 25)),
    (LORD_HOWE, date(2026, 4, 5)),
    (LORD_HOWE, date(2026, 10, 4)),
]


@st.composite
def rules_near(draw, day):
    first = day + timedelta(days=draw(st.integers(-4, 4)))
    last = first + timedelta(days=draw(st.integers(0, 3)))
    times = draw(st.sampled_from([(None, None), (time(10), time(14)), (time(0), time(4))]))
    return DayRule(first, last, "a holiday", *times)


def is_open(local, week, rules):
    at = local.time()
    if week.days is not None:
        hours = week.days.get(local.isoweekday())
        if not hours or not hours.begins <= at < hours.ends:
            return False
        if hours.break_begins and hours.break_begins <= at < hours.break_ends:
            return False
    for rule in rules:
        if rule.first <= local.date() <= rule.last and (rule.opens is None or not rule.opens <= at < rule.closes):
            return False
    return True


@given(st.data(), st.sampled_from(CHANGES), weeks)
def test_the_open_time_is_that_of_a_clock_looked_at_every_minute(data, change, week):
    zone, day = change
    rules = data.draw(st.lists(rules_near(day), max_size=3))
    first, last = day - timedelta(days=2), day + timedelta(days=2)
    found = open_spans(first, last, week, rules, zone)
    at = datetime.combine(first, time(0), zone).astimezone(UTC)
    until = datetime.combine(last + timedelta(days=1), time(0), zone).astimezone(UTC)
    edges = {moment for span in found for moment in (span.starts_at, span.ends_at)}
    inside, was_open = False, False
    while at < until:
        inside = any(span.starts_at == at for span in found) or (inside and at not in edges)
        was_open = is_open(at.astimezone(zone), week, rules)
        assert inside == was_open, at
        at += timedelta(minutes=1)


def test_days_from_the_first_to_the_last():
    assert days_from(MONDAY, MONDAY) == [MONDAY]
    assert days_from(MONDAY, MONDAY + timedelta(days=2))[-1] == date(2026, 3, 4)
    assert days_from(MONDAY, MONDAY - timedelta(days=1)) == []
