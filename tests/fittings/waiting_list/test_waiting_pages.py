"""The pages of the waiting list, by their addresses."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, localtime, now

from fittings.booking import book_appointment, cancel_appointment
from fittings.models import Appointment, WaitingEntry
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory, WaitingEntryFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return DeskFactory()


@pytest.fixture
def page(client, desk):
    client.force_login(desk, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def freed(desk):
    """A consult tomorrow at ten that was just cancelled."""
    ten = localtime(now() + timedelta(days=1)).replace(hour=10, minute=0, second=0, microsecond=0)
    booked = book_appointment(
        client=ClientFactory(given_name="Maud"),
        kind=ServiceKindFactory(),
        stylist=StylistFactory(),
        place=PlaceFactory(name="Quiet room", sort="room"),
        starts_at=ten,
        by=desk,
        at=now(),
    )
    return cancel_appointment(appointment=booked, by=desk, because="She rang.", at=now())


def test_a_wish_is_put_on_the_list_and_shown(page):
    her, kind = ClientFactory(given_name="Ada", phone="07700 900123"), ServiceKindFactory()
    address = f"{reverse('waiting-new')}?client={her.reference}"
    assert page.get(address).status_code == 200
    sent = {"kind": kind.pk, "earliest_on": localdate(), "part_of_day": "mornings", "weekdays": [2, 5]}
    shown = page.post(address, sent, follow=True).content.decode()
    assert "Mornings, on Tuesday and Friday" in shown
    entry = WaitingEntry.objects.get()
    assert (entry.client, entry.weekdays, entry.state) == (her, [2, 5], "waiting")
    assert "07700 900123" in page.get(reverse("waiting-list")).content.decode()


def test_who_it_is_for_is_asked_first(page):
    assert "Who is it for?" in page.get(reverse("waiting-new")).content.decode()


def test_what_can_not_be_is_said_beside_the_field_and_nothing_typed_is_lost(page):
    her, kind = ClientFactory(), ServiceKindFactory()
    sent = {
        "kind": kind.pk,
        "earliest_on": localdate(),
        "latest_on": localdate() - timedelta(days=1),
        "part_of_day": "any",
        "note": "Works until noon",
    }
    answer = page.post(f"{reverse('waiting-new')}?client={her.reference}", sent)
    assert "That day is over" in answer.content.decode()
    assert "Works until noon" in answer.content.decode()
    assert not WaitingEntry.objects.exists()


def test_a_freed_time_is_offered_to_who_fits_and_booked_by_one_press(page, freed):
    entry = WaitingEntryFactory(client=ClientFactory(given_name="Ada"), kind=freed.kind)
    refill = page.get(reverse("appointment-refill", args=[freed.reference]))
    ((fit, code),) = refill.context["fits"]
    assert fit.entry == entry
    page.post(reverse("waiting-book", args=[entry.reference]), {"time": code})
    booked = Appointment.objects.standing().get()
    assert (booked.client, booked.starts_at, booked.place) == (entry.client, freed.starts_at, freed.place)
    assert page.get(reverse("waiting-list")).context["page"].object_list.count() == 0


def test_a_time_that_has_gone_meanwhile_is_refused_in_words(page, desk, freed):
    entry = WaitingEntryFactory(kind=freed.kind)
    ((_, code),) = page.get(reverse("appointment-refill", args=[freed.reference])).context["fits"]
    book_appointment(
        client=ClientFactory(given_name="Rosalind"),
        kind=freed.kind,
        stylist=freed.stylist,
        place=freed.place,
        starts_at=freed.starts_at,
        by=desk,
        at=now(),
    )
    answer = page.post(reverse("waiting-book", args=[entry.reference]), {"time": code})
    assert answer.status_code == 200
    assert "Rosalind" in answer.content.decode()
    entry.refresh_from_db()
    assert entry.state == "waiting"


@pytest.mark.parametrize("time", ["", "soon", "2027-03-03T10:00Z~1", "9999-99-99T10:00Z~1~1"])
def test_a_time_that_can_not_be_read_books_nothing(page, time):
    entry = WaitingEntryFactory()
    answer = page.post(reverse("waiting-book", args=[entry.reference]), {"time": time})
    assert 'role="alert"' in answer.content.decode()
    assert not Appointment.objects.exists()


def test_times_that_suit_are_shown_and_none_later_than_what_she_has(page, desk):
    kind, stylist, place = ServiceKindFactory(), StylistFactory(), PlaceFactory(sort="room")
    later = AppointmentFactory(kind=kind, stylist=stylist, place=place, starts_at=now() + timedelta(days=3))
    entry = WaitingEntryFactory(client=later.client, kind=kind, instead_of=later)
    days = page.get(reverse("waiting", args=[entry.reference])).context["days"]
    assert days
    assert all(day.day < localdate(later.starts_at) for day in days)


def test_a_wish_is_taken_off(page):
    entry = WaitingEntryFactory()
    page.post(reverse("waiting-off", args=[entry.reference]), {"because": "Found another time"})
    entry.refresh_from_db()
    assert (entry.state, entry.closed_because) == ("given up", "Found another time")
    assert "No longer waiting" in page.get(reverse("waiting", args=[entry.reference])).content.decode()


def test_a_time_that_stands_is_not_given_away(page):
    appointment = AppointmentFactory()
    WaitingEntryFactory(kind=appointment.kind)
    assert page.get(reverse("appointment-refill", args=[appointment.reference])).context["fits"] == []


def test_the_list_asks_as_much_for_many_as_for_few(page, django_assert_max_num_queries):
    for _ in range(3):
        WaitingEntryFactory()
    page.get(reverse("waiting-list"))
    with django_assert_max_num_queries(9):
        page.get(reverse("waiting-list"))
    for _ in range(15):
        WaitingEntryFactory(stylist=StylistFactory())
    with django_assert_max_num_queries(9):
        page.get(reverse("waiting-list"))
