"""A week by its days: everybody's or one stylist's, in a fixed number of queries."""

from datetime import datetime, timedelta
from html import unescape
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from fittings.models import Closure, OpeningHours
from tests.factories import DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory

pytestmark = pytest.mark.django_db

MONDAY = datetime(2026, 11, 23, 10, 0, tzinfo=ZoneInfo("Europe/London"))


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def week_of(browser, **asked):
    return browser.get(reverse("week"), {"day": "2026-11-25"} | asked)


def names(response):
    return [[str(one.client) for one in day.appointments] for day in response.context["days"]]


def test_each_stands_on_its_day_in_order_of_time_and_cancelled_ones_do_not(desk):
    later = AppointmentFactory(starts_at=MONDAY + timedelta(hours=4))
    first = AppointmentFactory(starts_at=MONDAY)
    sunday = AppointmentFactory(starts_at=MONDAY + timedelta(days=6, hours=13, minutes=59))
    AppointmentFactory(starts_at=MONDAY + timedelta(days=7))
    AppointmentFactory(starts_at=MONDAY + timedelta(days=1), state="cancelled")
    found = names(week_of(desk))
    assert found[0] == [str(first.client), str(later.client)]
    assert found[6] == [str(sunday.client)]
    assert sum(map(len, found)) == 3


def test_one_stylists_week_and_nonsense_is_everybodys(desk):
    me = StylistFactory()
    hers = AppointmentFactory(starts_at=MONDAY, stylist=me)
    AppointmentFactory(starts_at=MONDAY)
    assert names(week_of(desk, stylist=me.pk))[0] == [str(hers.client)]
    assert len(names(week_of(desk, stylist="nobody"))[0]) == 2
    assert week_of(desk, day="0001-01-01").status_code == 200


def test_closed_days_say_why_and_empty_ones_what_to_do(desk):
    for weekday in range(1, 6):
        OpeningHours.objects.create(weekday=weekday, opens="09:00", closes="18:00")
    Closure.objects.create(first_day=MONDAY.date(), last_day=MONDAY.date(), because="Stocktaking")
    page = week_of(desk)
    closed = [day.closed for day in page.context["days"]]
    assert closed == ["Closed: Stocktaking.", "", "", "", "", "Closed.", "Closed."]
    assert unescape(page.content.decode()).count("Nobody is booked.") == 4


def test_a_full_week_takes_the_queries_of_an_almost_empty_one(desk, queries_for):
    AppointmentFactory(starts_at=MONDAY)
    address = reverse("week") + "?day=2026-11-25"
    few = queries_for(address)
    for day in range(7):
        AppointmentFactory.create_batch(3, starts_at=MONDAY + timedelta(days=day))
    assert queries_for(address) == few
