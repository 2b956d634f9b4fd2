"""The salon's wall clock on every day on which clocks change, against the published dates and against pytz.

pytz brings its own copy of the time zone database and its own way of reading it. RFC 5545 (Desruisseaux 2009, READ)
says in 3.3.5 which of two equal times is meant when nobody says so: the first.
"""

import csv
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import pytz

from fittings.hours.spans import Span
from fittings.hours.wall_clock import NoSuchTime, TwiceThatTime, hours_on, moment_at, steps_of_day, whole_day
from fittings.hours.week import DayHours, Week, open_spans

PUBLISHED = Path(__file__).parent / "clock_changes.csv"
ROWS = [row for row in csv.reader(PUBLISHED.read_text().splitlines()) if not row[0].startswith("#")]
FORWARD, BACK, CONTROLS = ([row for row in ROWS if row[2] == way] for way in ("forward", "back", "none"))
A_DAY, A_MINUTE = timedelta(days=1), timedelta(minutes=1)


def read(row):
    zone, day, _, from_, to = row
    day = date.fromisoformat(day)
    return ZoneInfo(zone), day, datetime.combine(day, time.fromisoformat(from_)), time.fromisoformat(to)


def minutes_between(begins, ends):
    """Naive datetimes, a minute apart."""
    return [begins + number * A_MINUTE for number in range((ends - begins) // A_MINUTE)]


@pytest.mark.parametrize("zone", sorted({row[0] for row in ROWS}))
def test_no_other_day_of_these_years_is_longer_or_shorter(zone):
    days = [date(2025, 1, 1) + number * A_DAY for number in range(3 * 365)]
    spans = [whole_day(day, ZoneInfo(zone)) for day in days]
    uneven = {str(day) for day, span in zip(days, spans, strict=True) if span.ends_at - span.starts_at != A_DAY}
    assert uneven == {row[1] for row in ROWS if row[0] == zone and row[2] != "none"}


@pytest.mark.parametrize("row", FORWARD, ids=lambda row: f"{row[0]} {row[1]}")
def test_every_time_that_the_clock_jumps_over_is_refused_and_the_times_beside_it_are_not(row):
    zone, day, jumps, to = read(row)
    lands = datetime.combine(day, to)
    for wall in minutes_between(jumps, lands):
        with pytest.raises(NoSuchTime) as refusal:
            moment_at(day, wall.time(), zone)
        assert f"from {jumps:%H:%M} straight to {to:%H:%M}" in refusal.value.says
        assert refusal.value.jumps_at.astimezone(zone).replace(tzinfo=None) == lands
        with pytest.raises(pytz.NonExistentTimeError):
            pytz.timezone(row[0]).localize(wall, is_dst=None)
    before, after = moment_at(day, (jumps - A_MINUTE).time(), zone), moment_at(day, to, zone)
    assert after - before == A_MINUTE
    with pytest.raises(NoSuchTime):
        moment_at(day, jumps.time(), zone, second=True)


@pytest.mark.parametrize("row", BACK, ids=lambda row: f"{row[0]} {row[1]}")
def test_every_time_that_comes_twice_asks_which_is_meant(row):
    zone, day, falls, to = read(row)
    lands = datetime.combine(day, to)
    for wall in minutes_between(lands, falls):
        with pytest.raises(TwiceThatTime) as refusal:
            moment_at(day, wall.time(), zone)
        assert f"back from {falls:%H:%M} to {to:%H:%M}" in refusal.value.says
        first, later = refusal.value.first, refusal.value.later
        assert later - first == falls - lands
        assert moment_at(day, wall.time(), zone, second=False) == first
        assert moment_at(day, wall.time(), zone, second=True) == later
        theirs = pytz.timezone(row[0])
        with pytest.raises(pytz.AmbiguousTimeError):
            theirs.localize(wall, is_dst=None)
        assert (first, later) == tuple(theirs.localize(wall, is_dst=summer) for summer in (True, False))
    moment_at(day, (lands - A_MINUTE).time(), zone)
    moment_at(day, falls.time(), zone)


@pytest.mark.parametrize("row", FORWARD + BACK + CONTROLS, ids=lambda row: f"{row[0]} {row[1]}")
def test_hours_over_the_change_last_as_long_as_they_do_and_never_fail(row):
    zone, day = ZoneInfo(row[0]), date.fromisoformat(row[1])
    gained = timedelta(0)
    if row[2] != "none":
        _, _, from_, to = read(row)
        gained = from_ - datetime.combine(day, to)
    whole = whole_day(day, zone)
    assert whole.ends_at - whole.starts_at == A_DAY + gained
    assert len(steps_of_day(day, 15, zone)) == 96 + gained // timedelta(minutes=15)
    night = hours_on(day, time(0, 30), time(4, 30), zone)
    assert night.ends_at - night.starts_at == timedelta(hours=4) + gained
    week = Week({day.isoweekday(): DayHours(time(0, 30), time(22), time(12), time(13))})
    morning, afternoon = open_spans(day - A_DAY, day + A_DAY, week, (), zone)
    assert morning.ends_at - morning.starts_at == timedelta(hours=11, minutes=30) + gained
    assert afternoon.ends_at - afternoon.starts_at == timedelta(hours=9)


@pytest.mark.parametrize("row", FORWARD, ids=lambda row: f"{row[0]} {row[1]}")
def test_hours_that_begin_in_the_gap_begin_at_its_end_and_those_within_it_are_none(row):
    zone, day, jumps, to = read(row)
    inside = (jumps + 10 * A_MINUTE).time()
    assert hours_on(day, inside, time(9), zone) == Span(moment_at(day, to, zone), moment_at(day, time(9), zone))
    assert hours_on(day, inside, (jumps + 20 * A_MINUTE).time(), zone) is None


@pytest.mark.parametrize("row", BACK, ids=lambda row: f"{row[0]} {row[1]}")
def test_hours_take_in_both_of_a_time_that_comes_twice(row):
    zone, day, falls, _ = read(row)
    inside = (falls - 10 * A_MINUTE).time()
    first, later = (moment_at(day, inside, zone, second=second) for second in (False, True))
    assert hours_on(day, inside, time(9), zone).starts_at == first
    assert hours_on(day, time(0, 0), inside, zone).ends_at == later


@pytest.mark.parametrize("row", FORWARD + BACK + CONTROLS, ids=lambda row: f"{row[0]} {row[1]}")
def test_the_quarter_hours_of_the_day_are_those_that_the_clock_of_pytz_shows(row):
    zone, day = ZoneInfo(row[0]), date.fromisoformat(row[1])
    at, theirs = datetime.combine(day - A_DAY, time(0), UTC), pytz.timezone(row[0])
    shown = []
    while at < datetime.combine(day + 2 * A_DAY, time(0), UTC):
        local = at.astimezone(theirs)
        if local.date() == day and local.minute % 15 == 0:
            shown.append(at)
        at += A_MINUTE
    assert steps_of_day(day, 15, zone) == shown


def test_the_examples_of_rfc_5545():
    # 3.3.5: 20071104T013000 is 1:30 A.M. EDT, UTC-04:00 (MEMORY); 20070311T023000 does not exist (READ)
    new_york = ZoneInfo("America/New_York")
    with pytest.raises(TwiceThatTime) as refusal:
        moment_at(date(2007, 11, 4), time(1, 30), new_york)
    assert refusal.value.first == datetime(2007, 11, 4, 5, 30, tzinfo=UTC)
    with pytest.raises(NoSuchTime):
        moment_at(date(2007, 3, 11), time(2, 30), new_york)
