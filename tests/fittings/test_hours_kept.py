"""What is written down about hours, as objects: told in the salon's clock, read in few queries."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from fittings.hours.spans import Span
from fittings.hours.week import DayHours, DayRule
from fittings.hours_kept import salon_hours, salon_zone, stylists_hours
from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from salon.models import Salon
from tests.factories import StylistFactory

pytestmark = pytest.mark.django_db
MONDAY, TUESDAY = date(2026, 3, 2), date(2026, 3, 3)


def utc(day, hour, minute=0):
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


@pytest.fixture(autouse=True)
def salon():
    return Salon.objects.default()


def test_a_salon_of_which_nothing_is_written_down_is_always_open():
    assert salon_hours(MONDAY, TUESDAY).open == [Span(utc(2, 0), utc(4, 0))]


def test_opening_hours_are_told_in_the_salons_own_clock(salon):
    OpeningHours.objects.create(weekday=1, opens=time(9), closes=time(17))
    assert salon_hours(MONDAY, TUESDAY).open == [Span(utc(2, 9), utc(2, 17))]
    salon.time_zone = "Asia/Tokyo"
    salon.save()
    assert salon_hours(MONDAY, TUESDAY).open == [Span(utc(2, 0), utc(2, 8))]
    assert str(salon_zone()) == "Asia/Tokyo"


def test_closures_are_those_of_the_days_asked_about():
    for first, last, because in [(1, 1, "before"), (1, 2, "works"), (4, 9, "after")]:
        Closure.objects.create(first_day=date(2026, 3, first), last_day=date(2026, 3, last), because=because)
    Closure.objects.create(first_day=TUESDAY, last_day=TUESDAY, because="short", opens=time(9), closes=time(12))
    hours = salon_hours(MONDAY, TUESDAY)
    assert [rule.because for rule in hours.day_rules] == ["works", "short"]
    assert hours.rules_on(TUESDAY) == [DayRule(TUESDAY, TUESDAY, "short", time(9), time(12))]
    assert hours.open == [Span(utc(3, 9), utc(3, 12))]


def test_a_stylist_works_while_the_salon_is_open_unless_her_week_says_less():
    OpeningHours.objects.create(weekday=1, opens=time(9), closes=time(17))
    always, mornings, away = StylistFactory(), StylistFactory(), StylistFactory()
    WorkingHours.objects.create(
        stylist=mornings, weekday=1, begins=time(8), ends=time(13), break_begins=time(11), break_ends=time(11, 15)
    )
    TimeOff.objects.create(stylist=away, starts_at=utc(2, 12), ends_at=utc(5, 0))
    TimeOff.objects.create(stylist=away, starts_at=utc(2, 10), ends_at=utc(2, 12))
    salon, hours = salon_hours(MONDAY, TUESDAY), stylists_hours([always, mornings, away], MONDAY, TUESDAY)
    assert hours[always.pk].at_work(salon) == [Span(utc(2, 9), utc(2, 17))]
    assert hours[mornings.pk].at_work(salon) == [Span(utc(2, 9), utc(2, 11)), Span(utc(2, 11, 15), utc(2, 13))]
    assert hours[mornings.pk].week.days == {1: DayHours(time(8), time(13), time(11), time(11, 15))}
    assert hours[away.pk].at_work(salon) == [Span(utc(2, 9), utc(2, 10))]
    assert hours[away.pk].off == (Span(utc(2, 10), utc(5, 0)),)


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_time_off_of_the_days_asked_about_is_read_in_every_zone(salon, zone):
    salon.time_zone = zone  # fourteen hours before UTC, eleven after it
    salon.save()
    stylist = StylistFactory()
    hours = salon_hours(MONDAY, MONDAY)
    (day,) = hours.open
    for begins in (day.starts_at - timedelta(hours=1), day.ends_at - timedelta(hours=1)):
        TimeOff.objects.create(stylist=stylist, starts_at=begins, ends_at=begins + timedelta(hours=2))
    at_work = stylists_hours([stylist], MONDAY, MONDAY)[stylist.pk].at_work(hours)
    assert at_work == [Span(day.starts_at + timedelta(hours=1), day.ends_at - timedelta(hours=1))]


def test_the_queries_are_as_many_for_ten_stylists_as_for_one(django_assert_num_queries):
    people = StylistFactory.create_batch(10)
    for stylist in people:
        WorkingHours.objects.create(stylist=stylist, weekday=1, begins=time(9), ends=time(17))
        TimeOff.objects.create(stylist=stylist, starts_at=utc(2, 12), ends_at=utc(2, 13))
    with django_assert_num_queries(3):
        salon_hours(MONDAY, TUESDAY)
    for several in (people[:1], people):
        with django_assert_num_queries(2):
            stylists_hours(several, MONDAY, TUESDAY)
