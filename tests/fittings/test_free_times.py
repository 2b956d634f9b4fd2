"""Which times are offered: nobody and no place twice, within hours, as wished, in few queries."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from fittings.free_times import (
    STEP_MINUTES,
    Wish,
    earliest_for,
    free_times,
    nearest_free_times,
    places_for,
    stylists_for,
)
from fittings.models import OpeningHours
from tests.factories import StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 3, 2, 0, 0, tzinfo=UTC)  # London keeps UTC until the 29th


def clock(found):
    return [f"{free.starts_at:%H:%M}" for free in found]


@pytest.fixture
def open_nine_to_twelve():
    for weekday in range(1, 6):
        OpeningHours.objects.create(weekday=weekday, opens=time(9), closes=time(12))


def test_the_quarter_hours_at_which_all_of_a_visit_lies_within_the_opening_hours(open_nine_to_twelve):
    kind, place, stylist = ServiceKindFactory(minutes=120, clean_up_minutes=30), PlaceFactory(), StylistFactory()
    found = free_times(kind=kind, since=MONDAY, days=1)
    assert clock(found) == ["09:00", "09:15", "09:30", "09:45", "10:00"]
    assert {(free.stylist, free.place) for free in found} == {(stylist, place)}


def test_a_standing_appointment_takes_the_stylist_and_longer_the_place(open_nine_to_twelve):
    kind, place = ServiceKindFactory(minutes=30, clean_up_minutes=15), PlaceFactory()
    one, other = StylistFactory(first_name="Ada"), StylistFactory(first_name="Zoe")
    AppointmentFactory(kind=kind, stylist=one, place=place, starts_at=MONDAY + timedelta(hours=10))
    found = free_times(kind=kind, since=MONDAY, days=1, wish=Wish(stylist=other))
    assert clock(found) == ["09:00", "09:15", "10:45", "11:00", "11:15", "11:30"]
