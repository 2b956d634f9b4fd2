"""Somebody stands at the desk now; and a series of visits, shown date by date before it is booked."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.models import Appointment
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.desk.booking_scene import LONDON, by_hand, clock_goes_back_on, in_days
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def kind():
    return ServiceKindFactory(name="Check-up", purpose="check-up", minutes=30, clean_up_minutes=0)


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def place():
    return PlaceFactory()


def words(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def walk_in(client, **query):
    more = "".join(f"&{name}={value}" for name, value in query.items())
    return f"{reverse('walk-in')}?client={client.reference}{more}"


def series(client):
    return f"{reverse('appointment-series')}?client={client.reference}"


# A walk-in


def test_the_page_says_who_is_free_now_and_a_press_takes_her(desk, kind, stylist, place):
    her = ClientFactory()
    page = desk.get(walk_in(her, kind=kind.pk))
    assert f'value="{stylist.pk}~{place.pk}"' in page.content.decode()
    desk.post(walk_in(her), {"kind": kind.pk, "taken_by": f"{stylist.pk}~{place.pk}", "note": "Her clip broke"})
    taken = Appointment.objects.get()
    assert (taken.state, taken.stylist, taken.place, taken.note) == ("arrived", stylist, place, "Her clip broke")


def test_pressed_twice_she_is_taken_once(desk, kind, stylist, place):
    her, typed = ClientFactory(), {"kind": kind.pk, "taken_by": f"{stylist.pk}~{place.pk}"}
    first, second = desk.post(walk_in(her), typed), desk.post(walk_in(her), typed)
    assert first.url == second.url == reverse("appointment", args=[Appointment.objects.get().reference])


def test_when_nobody_is_free_the_nearest_times_are_offered_to_book(desk, kind, stylist, place):
    AppointmentFactory(kind=kind, stylist=stylist, starts_at=now() - timedelta(minutes=5), state="in the chair")
    page = desk.get(walk_in(ClientFactory(), kind=kind.pk))
    assert "Nobody is free for Check-up now" in words(page)
    assert len(page.context["soon"]) == 3
    assert f"kind={kind.pk}&amp;chosen=" in page.content.decode()


def test_a_clash_by_hand_is_told_and_what_was_typed_is_kept(desk, kind, stylist, place):
    AppointmentFactory(kind=kind, stylist=stylist, starts_at=now() - timedelta(minutes=5), state="in the chair")
    typed = {"kind": kind.pk, "stylist": stylist.pk, "place": place.pk, "note": "Her clip broke"}
    page = desk.post(walk_in(ClientFactory()), typed)
    assert "is with" in words(page)
    assert "Her clip broke" in page.content.decode()
    assert Appointment.objects.count() == 1


def test_a_kind_is_not_done_by_her_she_is_taken_anyway_with_a_reason(desk, kind, stylist, place):
    kind.done_by.add(StylistFactory())
    her = ClientFactory()
    typed = {"kind": kind.pk, "stylist": stylist.pk, "place": place.pk, "anyway_because": "Imke is ill"}
    assert "Take her anyway" in words(desk.post(walk_in(her), typed))
    desk.post(walk_in(her), typed | {"anyway": "yes"})
    assert Appointment.objects.get().changes.first().because == "Imke is ill"


@pytest.mark.parametrize("taken_by", ["~", "x~y", "999999999999999999999~1", "1"])
def test_nonsense_for_who_takes_her_is_told(desk, kind, taken_by):
    page = desk.post(walk_in(ClientFactory()), {"kind": kind.pk, "taken_by": taken_by})
    assert page.status_code == 200
    assert page.context["form"].errors


# A series


def asked(kind, stylist, place, **changed):
    return by_hand(kind, in_days(3, 10), stylist, place, every_weeks=6, times=3, note="") | changed


def test_the_dates_are_shown_before_anything_is_booked(desk, kind, stylist, place):
    page = desk.post(series(ClientFactory()), asked(kind, stylist, place, show="yes"))
    dates = page.context["dates"]
    begins = [date.starts_at.astimezone(LONDON) for date in dates]
    assert {f"{one:%H:%M}" for one in begins} == {"10:00"}
    assert [(one.date() - begins[0].date()).days for one in begins] == [0, 42, 84]
    assert "All 3 are free" in words(page)
    assert not Appointment.objects.exists()


def test_all_of_them_are_booked_together_and_a_second_press_books_none(desk, kind, stylist, place):
    her, typed = ClientFactory(), asked(kind, stylist, place, book="yes")
    first, second = desk.post(series(her), typed), desk.post(series(her), typed)
    assert first.url == second.url
    assert Appointment.objects.count() == 3
    assert len(set(Appointment.objects.values_list("series", flat=True))) == 1
    assert "One of a series" in words(desk.get(first.url))


def test_one_date_that_is_taken_is_named_and_none_is_booked(desk, kind, stylist, place):
    AppointmentFactory(kind=kind, stylist=stylist, starts_at=in_days(3 + 42, 10))
    typed = asked(kind, stylist, place)
    shown = desk.post(series(ClientFactory()), typed | {"show": "yes"})
    assert [date.is_free for date in shown.context["dates"]] == [True, False, True]
    assert "Book all" not in words(shown)
    desk.post(series(ClientFactory()), typed | {"book": "yes"})
    assert Appointment.objects.count() == 1


def test_a_date_on_which_the_time_comes_twice_is_named(desk, kind, stylist, place):
    day = clock_goes_back_on()
    first = day - timedelta(weeks=1)
    if first <= now().date():  # the change is less than a week away: begin on its own day, which is asked about
        pytest.skip("the clock goes back within the week")
    typed = asked(kind, stylist, place, starts_on=f"{first}", starts_time="01:30", every_weeks=1, times=2, show="yes")
    page = desk.post(series(ClientFactory()), typed)
    assert [date.starts_at is None for date in page.context["dates"]] == [False, True]
    assert "comes twice" in words(page)


@pytest.mark.parametrize("changed", [{"times": "1"}, {"times": "500"}, {"every_weeks": "0"}, {"every_weeks": "x"}])
def test_a_series_that_can_not_be_meant_is_refused(desk, kind, stylist, place, changed):
    page = desk.post(series(ClientFactory()), asked(kind, stylist, place, book="yes", **changed))
    assert page.context["form"].errors
    assert not Appointment.objects.exists()
