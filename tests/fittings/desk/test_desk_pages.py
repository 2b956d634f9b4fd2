"""The desk's pages: the day, booking by the form, and what becomes of an appointment."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, localtime, now

from fittings.models import Appointment
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def asked(**changed):
    """A form that can be booked; a test spells out what it changes."""
    begins = localtime(now() + timedelta(days=3)).replace(hour=10, minute=0)
    return {
        "kind": ServiceKindFactory().pk,
        "stylist": StylistFactory().pk,
        "place": PlaceFactory().pk,
        "starts_on": begins.date().isoformat(),
        "starts_time": "10:00",
        "note": "",
    } | changed


def test_the_desk_finds_a_client_and_books_her(desk):
    her = ClientFactory()
    address = reverse("appointment-new") + f"?client={her.reference}"
    response = desk.post(address, asked())
    assert response.status_code == 302
    assert Appointment.objects.get().client == her


def test_a_refused_booking_keeps_what_was_typed(desk):
    her, wish = ClientFactory(), asked(note="brings her sister")
    address = reverse("appointment-new") + f"?client={her.reference}"
    desk.post(address, wish)
    page = desk.post(address, wish).content.decode()
    assert "already has an appointment" in page
    assert "brings her sister" in page
    assert Appointment.objects.count() == 1


def test_an_hour_that_summer_time_leaves_out_is_refused(desk):
    # Europe/London, 28 March 2027: 01:00 becomes 02:00 (tzdata 2026.6)
    her = ClientFactory()
    page = desk.post(
        reverse("appointment-new") + f"?client={her.reference}", asked(starts_on="2027-03-28", starts_time="01:30")
    ).content.decode()
    assert "There is no 01:30 on Sunday 28 March 2027: the clock goes from 01:00 straight to 02:00." in page
    assert not Appointment.objects.exists()


def test_the_day_shows_every_place_and_takes_the_same_queries_for_two_as_for_six(desk, queries_for):
    PlaceFactory(name="Quiet room")
    day = now() + timedelta(days=1)
    AppointmentFactory.create_batch(2, starts_at=day)
    address = reverse("today") + f"?day={localtime(day):%Y-%m-%d}"
    few = queries_for(address)
    AppointmentFactory.create_batch(4, starts_at=day)
    assert queries_for(address) == few
    assert "Free all day." in desk.get(address).content.decode()


def test_nonsense_for_a_day_shows_today(desk):
    assert desk.get(reverse("today") + "?day=yesterday-ish").context["board"].day == localdate()


def test_marking_goes_on_and_a_wrong_order_is_told(desk):
    appointment = AppointmentFactory()
    mark = reverse("appointment-mark", args=[appointment.reference])
    desk.post(mark, {"state": "arrived"})
    appointment.refresh_from_db()
    assert appointment.state == "arrived"
    page = unescape(desk.post(mark, {"state": "booked"}, follow=True).content.decode())
    assert "This appointment is arrived; only one that was missed is put back." in page
    page = unescape(desk.post(mark, {"state": "elsewhere"}, follow=True).content.decode())
    assert "Choose arrived, in the chair, done or did not come." in page


def test_cancelling_asks_why(desk):
    appointment = AppointmentFactory()
    address = reverse("appointment-cancel", args=[appointment.reference])
    assert "Write why it is cancelled" in desk.post(address, {"because": ""}).content.decode()
    desk.post(address, {"because": "has a cold"})
    appointment.refresh_from_db()
    assert appointment.state == "cancelled"
