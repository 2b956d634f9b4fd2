"""Series, and bookings on the nights on which the clock is changed.

The dates and shifts are those of tzdata 2026.6, computed through zoneinfo: Europe/London 29 March (01:00 becomes 02:00)
and 25 October 2026 (02:00 becomes 01:00); America/New_York 8 March (02:00 becomes 03:00) and 1 November 2026 (02:00
becomes 01:00); Australia/Lord_Howe, by half an hour, 5 April (02:00 becomes 01:30) and 4 October 2026 (02:00 becomes
02:30).
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from fittings.booking import BookingRefused, book_appointment, book_series, move_appointment
from fittings.models import Appointment, Closure
from salon.models import Salon
from tests.factories import ClientFactory
from tests.fittings.bookings import NOW, TEN, a_booking, another, moving

LONDON, NEW_YORK, LORD_HOWE = "Europe/London", "America/New_York", "Australia/Lord_Howe"
JANUARY = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db

NIGHTS = [  # zone, a time before the change and 90 minutes later by the clock on the wall
    (LONDON, "2026-03-29T00:30", "2026-03-29T03:00"),
    (LONDON, "2026-10-25T00:45", "2026-10-25T01:15"),
    (NEW_YORK, "2026-03-08T01:30", "2026-03-08T04:00"),
    (NEW_YORK, "2026-11-01T00:45", "2026-11-01T01:15"),
    (LORD_HOWE, "2026-04-05T01:00", "2026-04-05T02:00"),
    (LORD_HOWE, "2026-10-04T01:00", "2026-10-04T03:00"),
]
MORNINGS = [  # zone, a morning in the week before each change
    (LONDON, "2026-03-24T10:00"),
    (LONDON, "2026-10-20T10:00"),
    (NEW_YORK, "2026-03-03T10:00"),
    (NEW_YORK, "2026-10-27T10:00"),
    (LORD_HOWE, "2026-03-31T10:00"),
    (LORD_HOWE, "2026-09-29T10:00"),
]


@pytest.fixture
def booking():
    return a_booking() | {"at": JANUARY}


@pytest.fixture
def series(booking):
    return booking | {"every_weeks": 4, "times": 3, "at": NOW}


def salon_in(zone):
    salon = Salon.objects.default()
    salon.time_zone = zone
    salon.save()
    return ZoneInfo(zone)


def wall(text, zone):
    return datetime.fromisoformat(text).replace(tzinfo=zone)


# The nights themselves


@pytest.mark.parametrize(("zone", "begins", "ends"), NIGHTS)
def test_a_visit_lasts_as_long_as_ever_through_the_night_of_the_change(booking, zone, begins, ends):
    zone = salon_in(zone)
    appointment = book_appointment(**booking | {"starts_at": wall(begins, zone)})
    appointment.refresh_from_db()
    assert appointment.ends_at - appointment.starts_at == timedelta(minutes=90)
    assert appointment.place_free_at - appointment.ends_at == timedelta(minutes=15)
    here = appointment.ends_at.astimezone(zone)
    assert here.isoformat()[:16] == ends

    def beside(minutes):
        starts_at = appointment.starts_at + timedelta(minutes=minutes)
        return another(booking, stylist=booking["stylist"], starts_at=starts_at.astimezone(zone))

    for minutes in (-75, 75):  # who overlaps by a quarter of an hour is refused, with the clock on the wall
        refused = beside(minutes)
        with pytest.raises(BookingRefused, match=f"until {here:%H:%M}"):
            book_appointment(**refused)
    for minutes in (-90, 90):
        book_appointment(**beside(minutes))


@pytest.mark.parametrize(
    ("zone", "twice"), [(LONDON, "2026-10-25T01:10"), (NEW_YORK, "2026-11-01T01:10"), (LORD_HOWE, "2026-04-05T01:40")]
)
def test_the_two_halves_of_a_doubled_time_are_two_times(booking, zone, twice):
    zone = salon_in(zone)
    booking["kind"].minutes = 30
    first, second = wall(twice, zone), wall(twice, zone).replace(fold=1)
    book_appointment(**booking | {"starts_at": first.astimezone(UTC)})
    book_appointment(**another(booking, stylist=booking["stylist"], starts_at=second.astimezone(UTC)))
    apart = Appointment.objects.latest("starts_at").starts_at - Appointment.objects.earliest("starts_at").starts_at
    assert apart == first.utcoffset() - second.utcoffset()


def test_moving_over_the_change_keeps_the_length(booking):
    zone = salon_in(LONDON)
    appointment = book_appointment(**booking | {"starts_at": wall("2026-03-28T10:00", zone)})
    moved = move_appointment(appointment=appointment, **moving(booking, starts_at=wall("2026-03-29T00:15", zone)))
    moved.refresh_from_db()
    assert moved.ends_at == datetime(2026, 3, 29, 1, 45, tzinfo=UTC)


# Series


@pytest.mark.parametrize(("zone", "begins"), MORNINGS)
def test_a_series_keeps_the_time_of_day_over_the_change(series, zone, begins):
    zone = salon_in(zone)
    first = wall(begins, zone)
    made = book_series(**series | {"starts_at": first.astimezone(UTC), "every_weeks": 1, "times": 4, "at": JANUARY})
    here = [appointment.starts_at.astimezone(zone) for appointment in made]
    assert [moment.replace(tzinfo=None) for moment in here] == [
        first.replace(tzinfo=None) + timedelta(weeks=n) for n in range(4)
    ]
    assert len({moment.utcoffset() for moment in here}) == 2
    assert {appointment.ends_at - appointment.starts_at for appointment in made} == {timedelta(minutes=90)}


def test_the_visits_of_a_series_know_each_other(series):
    made = book_series(**series)
    assert [appointment.starts_at for appointment in made] == [TEN + timedelta(weeks=4 * n) for n in range(3)]
    assert len({appointment.series for appointment in made}) == 1
    assert made[0].series
    assert [appointment.changes.get().what for appointment in made] == ["booked"] * 3


def test_a_series_is_booked_whole_or_not_at_all_and_says_which_days_can_not_be(series):
    in_the_way = book_appointment(**another(series_as_booking(series), starts_at=TEN + timedelta(weeks=4)))
    closed = (TEN + timedelta(weeks=8)).date()
    Closure.objects.create(first_day=closed, last_day=closed, because="Stocktaking")
    with pytest.raises(BookingRefused) as refusal:
        book_series(**series | {"stylist": in_the_way.stylist})
    assert [obstacle.says for obstacle in refusal.value.obstacles] == [
        f"Tuesday 30 June 2026: {in_the_way.stylist} is with {in_the_way.client} until 12:30.",
        "Tuesday 28 July 2026: Closed on 28 July: Stocktaking.",
    ]
    assert not refusal.value.may_pass
    assert {free.starts_at.date() for free in refusal.value.nearest} == {in_the_way.starts_at.date()}
    assert Appointment.objects.count() == 1


def test_a_written_reason_goes_past_for_the_days_that_need_it(series):
    closed = (TEN + timedelta(weeks=4)).date()
    Closure.objects.create(first_day=closed, last_day=closed, because="Stocktaking")
    made = book_series(**series, anyway_because="Imke comes in for her")
    assert [appointment.changes.get().because for appointment in made] == ["", "Imke comes in for her", ""]


@pytest.mark.parametrize(
    ("zone", "begins", "says"),
    [
        (LONDON, "2026-03-15T01:30", "There is no 01:30 on Sunday 29 March 2026"),
        (LONDON, "2026-10-11T01:30", "01:30 comes twice on Sunday 25 October 2026"),
        (LORD_HOWE, "2026-09-20T02:15", "There is no 02:15 on Sunday 4 October 2026"),
        (LORD_HOWE, "2026-03-22T01:45", "01:45 comes twice on Sunday 5 April 2026"),
    ],
)
def test_a_time_that_the_clock_leaves_out_or_shows_twice_is_refused_with_its_day(series, zone, begins, says):
    first = wall(begins, salon_in(zone))
    with pytest.raises(BookingRefused, match=says) as refusal:
        book_series(**series | {"starts_at": first, "every_weeks": 2, "at": JANUARY})
    assert not refusal.value.may_pass
    assert Appointment.objects.count() == 0


def test_a_series_may_begin_at_a_doubled_time_for_its_moment_is_known(series):
    zone = salon_in(LONDON)
    second = datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    made = book_series(**series | {"starts_at": second, "every_weeks": 1, "times": 2})
    assert [appointment.starts_at.astimezone(zone).hour for appointment in made] == [1, 1]
    assert made[0].starts_at == second


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"times": 1}, "A series is 2 to 26 visits."),
        ({"times": 27}, "A series is 2 to 26 visits."),
        ({"every_weeks": 0}, "The visits of a series are 1 to 52 weeks apart."),
        ({"every_weeks": 53}, "The visits of a series are 1 to 52 weeks apart."),
        ({"starts_at": datetime(9999, 12, 31, 23, 0, tzinfo=UTC)}, "more than two years ahead"),
        ({"every_weeks": 52, "times": 4}, "Tuesday 29 May 2029: That is more than two years ahead"),
        ({"starts_at": NOW - timedelta(days=1)}, "is over; choose a time to come"),
    ],
)
def test_a_series_has_bounds(series, wrong, says):
    with pytest.raises(ValidationError) as refusal:
        book_series(**series | wrong)
    assert says in " ".join(refusal.value.messages)
    assert Appointment.objects.count() == 0


def test_the_longest_series_is_booked(series):
    assert len(book_series(**series | {"client": ClientFactory(), "every_weeks": 4, "times": 26})) == 26


def series_as_booking(series):
    return {name: value for name, value in series.items() if name not in ("every_weeks", "times")}
