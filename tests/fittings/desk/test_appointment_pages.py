"""The appointment's page, moving it, cancelling it, marking it, and its deposit."""

import re
from html import unescape

import pytest
from django.urls import reverse

from fittings.booking import book_appointment, cancel_appointment, move_appointment
from fittings.models import Appointment, Fitting
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.desk.booking_scene import by_hand, clock_goes_back_on, in_days, pressed
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory
from tests.pieces.factories import SaleFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def booked():
    """Ten o'clock in three days, an hour, booked at the desk."""
    return book_appointment(
        client=ClientFactory(),
        kind=ServiceKindFactory(minutes=60, clean_up_minutes=0, deposit_minor=2000),
        stylist=StylistFactory(),
        place=PlaceFactory(),
        starts_at=in_days(3, 10),
        by=DeskFactory(),
        at=in_days(0, 8),
    )


def words(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def page_of(desk, appointment):
    return words(desk.get(reverse("appointment", args=[appointment.reference])))


def test_the_page_says_what_is_missing_who_did_what_and_what_can_be_done(desk, booked):
    page = page_of(desk, booked)
    for said in ("Consent: not signed yet", "Deposit: £20.00 due", "Booked by Wilma", "She has arrived", "Move it"):
        assert said in page
    assert "Who could take this time?" not in page


def test_the_page_takes_the_same_queries_for_one_change_as_for_five(desk, booked, queries_for):
    address = reverse("appointment", args=[booked.reference])
    few = queries_for(address)
    for hour in range(11, 15):
        booked = move_appointment(
            appointment=booked,
            starts_at=in_days(3, hour),
            stylist=booked.stylist,
            place=booked.place,
            by=booked.stylist,
            at=in_days(0, 8),
        )
    assert queries_for(address) == few


# Moving


def moved(desk, appointment, **typed):
    return desk.post(reverse("appointment-move", args=[appointment.reference]), typed)


def test_a_press_on_a_free_time_moves_her_there(desk, booked):
    later = (in_days(3, 10, 30), booked.stylist, booked.place)  # over her own time, which does not stand in the way
    page = desk.get(reverse("appointment-move", args=[booked.reference]) + f"?from_day={later[0]:%Y-%m-%d}")
    assert pressed(booked.kind, later)["chosen"] in page.content.decode()
    moved(desk, booked, chosen=pressed(booked.kind, later)["chosen"], seen=booked.sequence)
    booked.refresh_from_db()
    assert booked.starts_at == later[0]
    assert booked.changes.latest("pk").what == "moved"


def test_pressed_twice_she_is_moved_once(desk, booked):
    typed = by_hand(booked.kind, in_days(3, 14), booked.stylist, booked.place)
    moved(desk, booked, **typed)
    moved(desk, booked, **typed)
    assert booked.changes.filter(what="moved").count() == 1


def test_what_somebody_else_moved_meanwhile_is_told_and_not_moved_again(desk, booked):
    seen = booked.sequence
    moved(desk, booked, **by_hand(booked.kind, in_days(3, 14), booked.stylist, booked.place))
    page = words(moved(desk, booked, **by_hand(booked.kind, in_days(3, 16), booked.stylist, booked.place, seen=seen)))
    assert "It was changed meanwhile by Wilma" in page
    booked.refresh_from_db()
    assert booked.starts_at == in_days(3, 14)


def test_a_refused_move_names_the_clash_and_keeps_it_where_it_stands(desk, booked):
    AppointmentFactory(kind=booked.kind, stylist=booked.stylist, starts_at=in_days(4, 10))
    response = moved(desk, booked, **by_hand(booked.kind, in_days(4, 10), booked.stylist, booked.place))
    assert "is with" in words(response)
    assert len(response.context["nearest"]) == 3
    booked.refresh_from_db()
    assert booked.starts_at == in_days(3, 10)


def test_moving_to_a_time_that_comes_twice_asks_which(desk, booked):
    day = clock_goes_back_on()
    typed = by_hand(booked.kind, in_days(3, 10), booked.stylist, booked.place, starts_on=f"{day}", starts_time="01:30")
    assert "01:30 comes twice on" in words(moved(desk, booked, **typed))
    moved(desk, booked, **typed, which="later")
    booked.refresh_from_db()
    assert f"{booked.starts_at:%H:%M}" == "01:30"  # UTC, which London keeps from then on
    page = desk.get(reverse("appointment-move", args=[booked.reference]))
    assert page.context["form"].asks_which


def test_she_may_stay_at_a_place_that_is_no_longer_booked_until_the_form_is_sent(desk, booked):
    booked.place.is_in_use = False
    booked.place.save()
    page = desk.get(reverse("appointment-move", args=[booked.reference])).content.decode()
    assert f'<option value="{booked.place.pk}" selected' in page


# Cancelling


def test_a_cancelled_one_says_who_and_why_and_leads_to_who_could_take_the_time(desk, booked):
    page = words(
        desk.post(
            reverse("appointment-cancel", args=[booked.reference]), {"because": "She rang, has a cold"}, follow=True
        )
    )
    assert "Cancelled by Wilma" in page
    assert "She rang, has a cold" in page
    assert "Who could take this time?" in page
    assert "Move it" not in page


def test_a_second_press_cancels_nothing_twice_and_is_no_error(desk, booked):
    address = reverse("appointment-cancel", args=[booked.reference])
    desk.post(address, {"because": "She rang, has a cold"})
    page = desk.post(address, {"because": "another word"}, follow=True)
    assert "It is cancelled already" in words(page)
    assert booked.changes.filter(what="cancelled").get().because == "She rang, has a cold"


def test_a_cancelled_one_is_not_moved(desk, booked):
    cancel_appointment(appointment=booked, by=booked.stylist, because="has a cold", at=in_days(0, 9))
    typed = by_hand(booked.kind, in_days(4, 10), booked.stylist, booked.place)
    assert "only a booked one can be moved" in words(moved(desk, booked, **typed))


def test_the_page_says_what_she_owes_and_leads_from_her_visit_to_the_till(desk, booked):
    page = reverse("appointment", args=[booked.reference])
    assert "To the till" not in words(desk.get(page))
    SaleFactory(client=booked.client)
    visit = Fitting.objects.create(
        client=booked.client, stylist=booked.stylist, appointment=booked, began_at=booked.starts_at
    )
    answer = desk.get(page)
    assert "Still to pay £1,249.00 of" in words(answer)
    assert f"?visit={visit.reference}" in answer.content.decode()


# Marking and the deposit


def test_marked_twice_she_has_arrived_once_and_nothing_is_complained_about(desk, booked):
    mark = reverse("appointment-mark", args=[booked.reference])
    desk.post(mark, {"state": "arrived"})
    page = desk.post(mark, {"state": "arrived"}, follow=True)
    assert "can't become" not in words(page)
    assert booked.changes.filter(what="arrived").count() == 1


def test_the_desk_puts_back_one_who_came_after_all_while_the_day_lasts(desk):
    missed = AppointmentFactory(starts_at=in_days(0, 0, 5), state="missed")
    assert "back to booked" in page_of(desk, missed)
    mark = reverse("appointment-mark", args=[missed.reference])
    desk.post(mark, {"state": "booked"})
    missed.refresh_from_db()
    assert (missed.state, missed.closed_at) == ("booked", None)


def test_later_only_an_owner_puts_it_back(client, desk):
    missed = AppointmentFactory(starts_at=in_days(-1, 10), state="missed")
    assert "back to booked" not in page_of(desk, missed)
    mark = reverse("appointment-mark", args=[missed.reference])
    assert "only an owner can put it back" in words(desk.post(mark, {"state": "booked"}, follow=True))
    client.force_login(OwnerFactory())
    assert "back to booked" in page_of(client, missed)
    client.post(mark, {"state": "booked"})
    missed.refresh_from_db()
    assert missed.state == "booked"


def test_the_deposit_is_taken_once(desk, booked):
    address = reverse("appointment-deposit", args=[booked.reference])
    assert "Say how the deposit was paid" in words(desk.post(address, {"method": "exchange"}, follow=True))
    assert "Deposit taken: £20.00. Receipt 1." in words(desk.post(address, {"method": "card"}, follow=True))
    assert "The deposit is taken already." in words(desk.post(address, {"method": "card"}, follow=True))
    assert booked.changes.filter(what="deposit").count() == 1
    assert Appointment.objects.get().deposit_paid_at
