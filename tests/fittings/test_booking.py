"""Appointments: what may stand beside what, and in which words the rest is refused."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from fittings.booking import (
    book_appointment,
    cancel_appointment,
    mark_arrived,
    mark_done,
    mark_missed,
    move_appointment,
)
from fittings.models import Appointment
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

NOW = datetime(2026, 6, 1, 8, 0, tzinfo=UTC)
TEN = datetime(2026, 6, 2, 10, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture
def booking():
    """Everything a booking needs; a test changes what it is about."""
    return {
        "client": ClientFactory(),
        "kind": ServiceKindFactory(minutes=90, clean_up_minutes=15),
        "stylist": StylistFactory(),
        "place": PlaceFactory(),
        "starts_at": TEN,
        "by": DeskFactory(),
        "at": NOW,
    }


def another(booking, **changed):
    """A second booking that shares nothing with the first but what the test names."""
    return booking | {"client": ClientFactory(), "stylist": StylistFactory(), "place": PlaceFactory()} | changed


def test_the_end_and_the_clean_up_come_from_the_kind_of_visit(booking):
    appointment = book_appointment(**booking)
    assert appointment.ends_at == TEN + timedelta(minutes=90)
    assert appointment.place_free_at == TEN + timedelta(minutes=105)


@pytest.mark.parametrize(
    ("shared", "words"),
    [
        ("client", "already has an appointment from 11:00 to 12:30"),
        ("stylist", "is with"),
        ("place", "is free again at 12:45"),
    ],
)
def test_nobody_and_nothing_is_in_two_places(booking, shared, words):
    book_appointment(**booking)
    with pytest.raises(ValidationError, match=words):
        book_appointment(**another(booking, **{shared: booking[shared], "starts_at": TEN + timedelta(minutes=30)}))
    assert Appointment.objects.count() == 1


def test_touching_is_not_sharing(booking):
    book_appointment(**booking)
    book_appointment(**another(booking, stylist=booking["stylist"], starts_at=TEN + timedelta(minutes=90)))
    assert Appointment.objects.count() == 2


def test_the_clean_up_keeps_the_place_but_not_the_stylist(booking):
    book_appointment(**booking)
    with pytest.raises(ValidationError, match="free again"):
        book_appointment(**another(booking, place=booking["place"], starts_at=TEN + timedelta(minutes=90)))
    book_appointment(**another(booking, place=booking["place"], starts_at=TEN + timedelta(minutes=105)))


def test_a_booking_before_another_says_from_when_the_place_is_taken(booking):
    book_appointment(**booking)
    with pytest.raises(ValidationError, match=r"is taken by .* from 11:00"):
        book_appointment(**another(booking, place=booking["place"], starts_at=TEN - timedelta(minutes=60)))


def test_a_time_that_is_over_is_refused(booking):
    with pytest.raises(ValidationError, match="is over; choose a time to come"):
        book_appointment(**booking | {"starts_at": NOW - timedelta(days=2)})


def test_a_cancelled_time_is_free_again_and_says_who_and_why(booking):
    appointment = book_appointment(**booking)
    with pytest.raises(ValidationError, match="Write why"):
        cancel_appointment(appointment=appointment, by=booking["by"], because="  ", at=NOW)
    cancelled = cancel_appointment(appointment=appointment, by=booking["by"], because="She rang", at=NOW)
    assert (cancelled.closed_by, cancelled.closed_because) == (booking["by"], "She rang")
    book_appointment(**another(booking, place=booking["place"], stylist=booking["stylist"]))


def test_a_moved_appointment_may_overlap_its_own_old_time(booking):
    appointment = book_appointment(**booking)
    moved = move_appointment(
        appointment=appointment,
        starts_at=TEN + timedelta(minutes=15),
        stylist=booking["stylist"],
        place=booking["place"],
        by=booking["by"],
        at=NOW,
    )
    assert moved.place_free_at == TEN + timedelta(minutes=120)


def test_only_a_booked_appointment_can_be_moved(booking):
    appointment = mark_arrived(appointment=book_appointment(**booking), by=booking["by"], at=TEN)
    with pytest.raises(ValidationError, match="is arrived; only a booked one can be moved"):
        move_appointment(
            appointment=appointment,
            starts_at=TEN,
            stylist=booking["stylist"],
            place=booking["place"],
            by=booking["by"],
            at=NOW,
        )


def test_states_follow_each_other_and_never_go_back(booking):
    marking = {"by": booking["by"], "at": TEN}
    appointment = mark_done(appointment=mark_arrived(appointment=book_appointment(**booking), **marking), **marking)
    with pytest.raises(ValidationError, match="is done; it can't become “arrived”"):
        mark_arrived(appointment=appointment, **marking)


def test_whether_she_came_is_not_known_before_it_begins(booking):
    appointment = book_appointment(**booking)
    with pytest.raises(ValidationError, match="can't be known before"):
        mark_missed(appointment=appointment, by=booking["by"], at=NOW)
    assert mark_missed(appointment=appointment, by=booking["by"], at=TEN).closed_at == TEN


@pytest.mark.parametrize("shared", ["client", "stylist", "place"])
def test_the_database_refuses_what_the_deed_was_not_asked(shared):
    first = AppointmentFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        AppointmentFactory(**{shared: getattr(first, shared), "starts_at": first.starts_at + timedelta(minutes=10)})
    AppointmentFactory(state="cancelled", closed_by=first.stylist, **{shared: getattr(first, shared)})


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has exclusion constraints instead of triggers")
def test_sqlite_still_has_its_triggers():
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'appointment_one_%'")
        assert len(cursor.fetchall()) == 6


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_of_eight_at_once_one_wins_and_seven_get_the_sentence(booking):
    refusals, ready = [], threading.Barrier(8)
    wishes = [another(booking, place=booking["place"]) for _ in range(8)]

    def race(wish):
        try:
            ready.wait()
            book_appointment(**wish)
        except ValidationError as refusal:
            refusals.append(" ".join(refusal.messages))
        finally:
            connection.close()

    threads = [threading.Thread(target=race, args=[wish]) for wish in wishes]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert Appointment.objects.count() == 1
    assert len(refusals) == 7
    assert all("free again" in sentence or "taken" in sentence for sentence in refusals)
