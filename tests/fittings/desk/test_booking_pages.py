"""Booking on the telephone: who, what for, one press on a free time; refusals, doubled times, and never twice."""

import re
import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import time, timedelta
from html import unescape
from threading import Barrier

import pytest
from django.db import connection
from django.test import Client as Browser
from django.urls import reverse
from django.utils.timezone import localdate, now

from clients.models import Client
from fittings.awaiting import await_piece
from fittings.booking import cancel_appointment
from fittings.free_times import free_at
from fittings.models import Appointment, OpeningHours
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.desk.booking_scene import LONDON, book_for, by_hand, clock_goes_back_on, in_days, pressed
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
SWAP = {"HX-Request": "true"}


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def kind():
    return ServiceKindFactory(minutes=60, clean_up_minutes=0)


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def place():
    return PlaceFactory()


@pytest.fixture
def at_ten(stylist, place):
    """Ten o'clock in three days, with her, there."""
    return in_days(3, 10), stylist, place


def words(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


# Who


def test_a_few_letters_find_her_and_what_the_address_said_is_carried_on(desk):
    her = ClientFactory(given_name="Zoë", family_name="Quill")
    ClientFactory(given_name="Grace", family_name="Wren")
    response = desk.get(reverse("appointment-new") + "?q=qui&day=2027-03-02&time=10:00", headers=SWAP)
    page = unescape(response.content.decode())
    assert f"/appointments/new/?client={her.reference}&day=2027-03-02&time=10%3A00" in page
    assert "Wren" not in page
    assert "<html" not in page


def test_a_record_that_went_into_another_leads_to_the_booking_of_that_one(desk):
    gone, kept = ClientFactory(), ClientFactory()
    gone.merged_into = kept
    gone.save()
    assert desk.get(book_for(gone)).url == book_for(kept)


def test_a_new_client_is_asked_for_in_one_short_form_that_leads_back_to_the_booking(desk):
    page = desk.get(reverse("appointment-new") + "?q=Maren+Holloway&kind=7&weekdays=2&weekdays=3").content.decode()
    asks = "/appointments/new/?kind=7&weekdays=2&weekdays=3"
    assert f'name="next" value="{asks}"' in unescape(page)
    assert f'formaction="{reverse("client-new")}"' in page
    address = reverse("client-new", query={"q": "Maren Holloway", "next": asks})
    assert 'value="Holloway"' in desk.get(address).content.decode()
    response = desk.post(address, {"given_name": "Maren", "family_name": "Holloway"})
    her = Client.objects.get(family_name="Holloway")
    assert response.url == f"{asks}&client={her.reference}"


# What for, and when


def test_the_kind_shows_the_next_free_times_and_a_press_on_one_books_it(desk, kind, stylist, place, at_ten):
    her = ClientFactory()
    part = desk.get(book_for(her, kind=kind.pk, from_day=localdate() + timedelta(days=3)), headers=SWAP)
    assert "<html" not in part.content.decode()
    wanted = pressed(kind, at_ten, note="brings her sister")
    assert wanted["chosen"] in part.content.decode()
    response = desk.post(book_for(her), wanted, follow=True)
    booked = Appointment.objects.get()
    assert (booked.client, booked.kind, booked.starts_at, booked.stylist, booked.place, booked.note) == (
        (her, kind, *at_ten, "brings her sister")
    )
    assert f"Booked: {her}, Consult," in words(response)


def test_without_a_script_a_button_shows_the_times_keeps_what_was_typed_and_books_nothing(desk, kind, stylist, place):
    her = ClientFactory()
    page = desk.post(book_for(her), {"kind": kind.pk, "note": "brings her sister", "show": "yes"}).content.decode()
    assert 'name="chosen"' in page
    assert "brings her sister" in page
    assert not Appointment.objects.exists()


def test_wishes_narrow_the_times(desk, kind, place):
    StylistFactory()
    odile = StylistFactory(first_name="Odile")
    tuesday = localdate() + timedelta(days=(1 - localdate().weekday()) % 7 + 7)
    address = book_for(
        ClientFactory(), kind=kind.pk, wished_stylist=odile.pk, part_of_day="afternoons", weekdays=2, from_day=tuesday
    )
    page = desk.get(address, headers=SWAP)
    offered = page.context["offered"].days
    assert [day.day for day in offered] == [tuesday + timedelta(weeks=week) for week in range(4)]
    free = [time.free for day in offered for time in day.times]
    assert {one.stylist for one in free} == {odile}
    assert all(one.starts_at.astimezone(LONDON).hour >= 12 for one in free)
    assert page.context["offered"].next_day == tuesday + timedelta(weeks=3, days=1)


def test_booking_from_the_page_of_a_day_looks_from_that_day_on(desk, kind, stylist, place):
    day = localdate() + timedelta(days=10)
    page = desk.get(book_for(ClientFactory(), kind=kind.pk, day=day))
    assert page.context["offered"].days[0].day == day
    page = desk.get(book_for(ClientFactory(), kind=kind.pk, day=day, from_day=""))  # taken away again
    assert page.context["offered"].days[0].day < day


def test_later_times_begin_on_the_day_after_those_shown(desk, kind, stylist, place):
    first = localdate() + timedelta(days=10)
    page = desk.get(book_for(ClientFactory(), kind=kind.pk, later=first), headers=SWAP)
    assert page.context["offered"].days[0].day == first


@pytest.mark.parametrize(
    "nonsense",
    [
        {"kind": "x"},
        {"wished_stylist": "999999999999999999999"},
        {"part_of_day": "teatime"},
        {"weekdays": "9"},
        {"from_day": "0001-01-01"},
        {"from_day": "9999-12-31"},
        {"later": "9999-12-31"},
        {"day": "2027-02-30", "time": "25:00"},
        {"day": "9999-12-31", "time": "23:59"},
        {"chosen": "9999-12-31T23:59Z~1~1"},
        {"chosen": "x~y~z"},
        {"awaits": "x", "stylist": "%00"},
    ],
)
def test_wishes_that_can_not_be_read_narrow_nothing(desk, kind, stylist, place, nonsense):
    assert desk.get(book_for(ClientFactory(), **({"kind": kind.pk} | nonsense))).status_code == 200


def test_the_page_takes_the_same_queries_for_two_appointments_as_for_eight(desk, kind, stylist, place, queries_for):
    address = book_for(ClientFactory(), kind=kind.pk)
    AppointmentFactory.create_batch(2)
    few = queries_for(address)
    AppointmentFactory.create_batch(6)
    assert queries_for(address) == few


def test_the_visit_waits_for_a_piece_until_the_desk_takes_the_tick_away(desk, stylist, place):
    her, clerk = ClientFactory(), DeskFactory()
    fitting = ServiceKindFactory(name="Fitting", purpose="fitting", minutes=60)
    comes = localdate() + timedelta(days=6)
    piece = await_piece(client=her, what="Heron, walnut", expected_on=comes, by=clerk, at=now())
    page = desk.get(book_for(her, kind=fitting.pk), headers=SWAP)
    assert "Heron, walnut is expected on" in words(page)
    assert page.context["offered"].days[0].day == comes
    at_once = desk.get(book_for(her, kind=fitting.pk, waits_asked="yes"), headers=SWAP)
    assert at_once.context["offered"].days[0].day < comes
    desk.post(book_for(her), pressed(fitting, (in_days(7, 10), stylist, place), awaits=piece.pk))
    assert Appointment.objects.get().awaits == piece


def test_a_piece_that_is_somebody_elses_is_not_waited_for(desk, kind, at_ten):
    theirs = await_piece(client=ClientFactory(), what="Heron", by=DeskFactory(), at=now())
    page = desk.post(book_for(ClientFactory()), pressed(kind, at_ten, awaits=theirs.pk)).content.decode()
    assert "Select a valid choice" in page
    assert not Appointment.objects.exists()


# A time chosen on another page


def test_an_empty_place_on_the_days_page_is_offered_first(desk, kind, stylist, place, at_ten):
    her, day = ClientFactory(), localdate() + timedelta(days=3)
    page = desk.get(book_for(her, kind=kind.pk, day=day, time="10:00", place=place.pk))
    assert [free.code for free in page.context["slot_times"]] == [pressed(kind, at_ten)["chosen"]]
    AppointmentFactory(kind=kind, stylist=stylist, starts_at=in_days(3, 10))
    page = desk.get(book_for(her, kind=kind.pk, day=day, time="10:00", place=place.pk))
    assert page.context["slot_times"] == []
    assert "Not free for Consult" in words(page)
    assert page.context["opens_own_time"]


def test_a_time_chosen_before_it_is_known_who_comes_is_kept(desk, kind, stylist, place, at_ten):
    chosen = pressed(kind, at_ten)["chosen"]
    page = desk.get(book_for(ClientFactory(), kind=kind.pk, chosen=chosen))
    assert [free.code for free in page.context["slot_times"]] == [chosen]


# Refusals


def test_a_clash_is_named_and_one_of_the_nearest_times_books_with_what_was_typed(desk, kind, stylist, place, at_ten):
    taken, her = ClientFactory(given_name="Joan", family_name="Pettigrew"), ClientFactory()
    AppointmentFactory(client=taken, kind=kind, starts_at=at_ten[0], stylist=stylist, place=place)
    response = desk.post(book_for(her), pressed(kind, at_ten, note="brings her sister"))
    assert "is with Joan Pettigrew until 11:00" in words(response)
    assert "brings her sister" in response.content.decode()
    nearest = response.context["nearest"]
    assert [time.starts_at for time in nearest] == [at_ten[0] + timedelta(minutes=m) for m in (-75, -60, 60)]
    assert 'name="anyway"' not in response.content.decode()
    desk.post(book_for(her), pressed(kind, at_ten, note="brings her sister", chosen=nearest[2].code))
    booked = Appointment.objects.get(client=her)
    assert (booked.starts_at, booked.note) == (at_ten[0] + timedelta(hours=1), "brings her sister")


@pytest.fixture
def open_in_the_afternoon():
    for weekday in range(1, 8):
        OpeningHours.objects.create(weekday=weekday, opens=time(13), closes=time(18))


def test_outside_hours_it_is_booked_with_a_written_reason_and_only_by_its_own_button(
    desk, kind, stylist, place, at_ten, open_in_the_afternoon
):
    her, wanted = ClientFactory(), by_hand(kind, *at_ten)
    page = desk.post(book_for(her), wanted | {"anyway_because": "typed, not pressed"})
    assert "Book anyway" in words(page)
    anyway = page.context["form"].wanted.code
    page = desk.post(book_for(her), wanted | {"anyway": anyway, "anyway_because": " "})
    assert "Write why it may stand all the same" in words(page)
    assert not Appointment.objects.exists()
    page = desk.post(book_for(her), wanted | {"anyway": anyway, "anyway_because": "Imke comes early"}, follow=True)
    change = Appointment.objects.get().changes.get()
    assert (change.because, [passed["code"] for passed in change.passed]) == ("Imke comes early", ["outside hours"])
    assert "All the same, because: Imke comes early" in words(page)


@pytest.mark.parametrize("code", ["x", "2027-03-02T10:00Z~1", "2027-03-02T10:00Z~0~0", "9999-01-01T00:00Z~1~1", "~~"])
def test_a_time_that_can_not_be_read_is_told(desk, kind, code):
    page = desk.post(book_for(ClientFactory()), {"kind": kind.pk, "chosen": code})
    assert "This time can't be read any more" in words(page)
    assert not Appointment.objects.exists()


def test_what_is_missing_by_hand_is_told_beside_each_field(desk):
    page = words(desk.post(book_for(ClientFactory()), {"note": "brings her sister"}))
    for sentence in ("Choose what she comes for.", "Choose who.", "Write the day.", "Write the time."):
        assert sentence in page


# Times that come twice, or never


def test_a_time_that_comes_twice_asks_which_and_either_is_booked(desk, kind, stylist, place):
    day = clock_goes_back_on()
    twice = {"starts_on": f"{day}", "starts_time": "01:30"}
    wanted = by_hand(kind, in_days(3, 10), stylist, place, **twice)
    page = desk.post(book_for(ClientFactory()), wanted)
    assert "01:30 comes twice on" in words(page)
    assert "The first, before the clocks go back" in words(page)
    assert not Appointment.objects.exists()
    for which, clock in (("first", "00:30"), ("later", "01:30")):
        page = desk.post(book_for(ClientFactory()), wanted | {"which": which}, follow=True)
        assert f"01:30, {'before' if which == 'first' else 'after'} the clocks go back" in words(page)
        assert f"{Appointment.objects.latest('pk').starts_at:%H:%M}" == clock  # London was an hour ahead of UTC before


# Never twice


def test_the_same_form_pressed_twice_books_once(desk, kind, at_ten):
    her, wanted = ClientFactory(), pressed(kind, at_ten, once=uuid.uuid4())
    first, second = desk.post(book_for(her), wanted), desk.post(book_for(her), wanted)
    assert first.url == second.url == reverse("appointment", args=[Appointment.objects.get().reference])


def test_coming_back_to_a_form_that_has_booked_and_pressing_another_time_moves_and_books_nothing(desk, kind, at_ten):
    her, once = ClientFactory(), uuid.uuid4()
    desk.post(book_for(her), pressed(kind, at_ten, once=once))
    later = (at_ten[0] + timedelta(hours=4), *at_ten[1:])
    page = desk.post(book_for(her), pressed(kind, later, once=once), follow=True)
    assert "That page had booked her already" in words(page)
    assert Appointment.objects.get().starts_at == at_ten[0]


def test_the_form_of_a_booking_that_was_cancelled_books_anew(desk, kind, at_ten):
    her, wanted = ClientFactory(), pressed(kind, at_ten, once=uuid.uuid4())
    desk.post(book_for(her), wanted)
    cancelled = Appointment.objects.get()
    cancel_appointment(appointment=cancelled, by=cancelled.stylist, because="has a cold", at=now())
    page = desk.post(book_for(her), wanted, follow=True)
    assert "Booked:" in words(page)
    assert Appointment.objects.standing().get() != cancelled


def test_two_tabs_book_one_time_once(desk, kind, at_ten):
    her = ClientFactory()
    desk.post(book_for(her), pressed(kind, at_ten, once=uuid.uuid4()))
    page = desk.post(book_for(her), pressed(kind, at_ten, once=uuid.uuid4()))
    assert "already has an appointment from 10:00 to 11:00" in words(page)
    assert Appointment.objects.count() == 1


def test_a_new_page_tells_what_she_has_already(desk, kind, at_ten):
    her = ClientFactory()
    desk.post(book_for(her), pressed(kind, at_ten, once=uuid.uuid4()))
    assert "She has Consult," in words(desk.get(book_for(her)))


@pytest.mark.django_db(transaction=True)
def test_presses_at_the_same_moment_book_once_and_all_lead_to_it(kind, stylist, place, at_ten):
    her, wanted, clerk = ClientFactory(), pressed(kind, at_ten, once=uuid.uuid4()), DeskFactory()
    ready = Barrier(4)

    def press(_):
        browser = Browser()
        browser.force_login(clerk)
        ready.wait()
        try:
            return browser.post(book_for(her), wanted).url
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as presses:
        led_to = set(presses.map(press, range(4)))
    assert led_to == {reverse("appointment", args=[Appointment.objects.get().reference])}


# The very moment


def test_who_could_begin_at_a_moment_is_found_off_the_quarter_hours_too(kind, stylist, place):
    odd = in_days(3, 10) + timedelta(minutes=7)
    assert [(free.starts_at, free.stylist) for free in free_at(kind=kind, moment=odd)] == [(odd, stylist)]
    AppointmentFactory(kind=kind, stylist=stylist, starts_at=in_days(3, 11))
    assert free_at(kind=kind, moment=odd) == []
