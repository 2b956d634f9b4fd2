"""Appointments: what may stand beside what, and in which words the rest is refused."""

from datetime import time, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from fittings.booking import (
    BookingRefused,
    book_appointment,
    cancel_appointment,
    mark_arrived,
    move_appointment,
)
from fittings.models import Appointment, AppointmentChange, Closure, OpeningHours
from fittings.obstacles import obstacles_to
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.bookings import NOW, TEN, a_booking, another, moving
from tests.fittings.factories import AppointmentFactory, PlaceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def booking():
    return a_booking()


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


def test_a_time_that_is_over_is_refused_and_the_next_free_ones_are_told(booking):
    with pytest.raises(BookingRefused, match="is over; choose a time to come") as refusal:
        book_appointment(**booking | {"starts_at": NOW - timedelta(minutes=30)})
    assert [free.starts_at for free in refusal.value.nearest] == [NOW + timedelta(minutes=15 * n) for n in range(3)]


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


# What a refusal says


def test_a_refusal_carries_its_reasons_and_the_three_nearest_free_times(booking):
    first = book_appointment(**booking)
    with pytest.raises(BookingRefused) as refusal:
        book_appointment(**another(booking, stylist=booking["stylist"], place=booking["place"]))
    refused = refusal.value
    assert [obstacle.code for obstacle in refused.obstacles] == ["stylist", "place"]
    assert not refused.may_pass
    assert [free.starts_at for free in refused.nearest] == [TEN + timedelta(minutes=n) for n in (-105, -90, 90)]
    assert refused.message_dict["starts_at"] == [
        f"{first.stylist} is with {first.client} until 12:30.",
        f"{first.place} is taken by {first.client} from 11:00.",
        f"The nearest free times are 09:15; 09:30 ({refused.nearest[1].place}) and 12:30 ({refused.nearest[2].place}).",
    ]


def test_the_nearest_free_times_are_with_the_same_stylist_unless_she_can_not(booking):
    only_her = StylistFactory()
    book_appointment(**booking)
    booking["kind"].done_by.add(only_her)
    with pytest.raises(BookingRefused, match="is not done by") as refusal:
        book_appointment(**another(booking, place=booking["place"], starts_at=TEN + timedelta(days=1)))
    assert {free.stylist for free in refusal.value.nearest} == {only_her}
    assert f"({only_her}" in refusal.value.messages[-1]
    assert refusal.value.may_pass


def test_free_times_of_another_day_are_told_with_their_day(booking):
    Closure.objects.create(first_day=TEN.date(), last_day=TEN.date(), because="Stocktaking")
    OpeningHours.objects.create(weekday=2, opens=time(9), closes=time(12))  # Tuesdays alone
    with pytest.raises(BookingRefused, match="Closed on 2 June: Stocktaking") as refusal:
        book_appointment(**booking)
    assert "The nearest free times are Tuesday 9 June, 09:00" in refusal.value.messages[-1]


def test_where_no_other_time_would_help_none_is_told(booking):
    booking["kind"].is_offered = False
    with pytest.raises(BookingRefused) as refusal:
        book_appointment(**booking)
    assert refusal.value.nearest == []
    assert refusal.value.message_dict == {"kind": ["Consult can't be booked any more; choose another kind of visit."]}


def test_a_client_whose_record_went_into_another_is_refused_however_old_the_page(booking):
    stale, kept = booking["client"], ClientFactory()
    type(stale).objects.filter(pk=stale.pk).update(merged_into=kept)
    with pytest.raises(BookingRefused, match=f"has gone into {kept.reference}"):
        book_appointment(**booking)


# Going past what may be passed


def test_a_written_reason_goes_past_and_is_kept_with_what_was_passed(booking):
    OpeningHours.objects.create(weekday=2, opens=time(9), closes=time(10))
    with pytest.raises(BookingRefused) as refusal:
        book_appointment(**booking, anyway_because="   ")
    assert refusal.value.may_pass
    appointment = book_appointment(**booking, anyway_because=" She flies at noon ")
    change = appointment.changes.get()
    assert change.because == "She flies at noon"
    assert change.passed == [{"code": "outside hours", "says": "Open from 09:00 to 10:00 on Tuesdays."}]


def test_a_reason_that_was_not_needed_is_not_kept(booking):
    assert book_appointment(**booking, anyway_because="In case").changes.get().because == ""


def test_no_reason_goes_past_somebody_else(booking):
    OpeningHours.objects.create(weekday=2, opens=time(9), closes=time(10))
    book_appointment(**booking, anyway_because="She flies at noon")
    with pytest.raises(BookingRefused) as refusal:
        book_appointment(**another(booking, stylist=booking["stylist"]), anyway_because="So does she")
    assert [obstacle.code for obstacle in refusal.value.obstacles] == ["stylist", "outside hours"]
    assert not refusal.value.may_pass


def test_a_reason_as_long_as_a_letter_is_refused(booking):
    with pytest.raises(ValidationError, match="in 240 characters at most"):
        book_appointment(**booking, anyway_because="x" * 241)
    assert Appointment.objects.count() == 0


def test_going_past_the_clean_up_cuts_it_short_and_cancelling_gives_it_back(booking):
    earlier = book_appointment(**booking)
    over = {"place": booking["place"], "starts_at": earlier.ends_at + timedelta(minutes=5)}
    with pytest.raises(BookingRefused, match="is cleaned after"):
        book_appointment(**another(booking, **over))
    later = book_appointment(**another(booking, **over), anyway_because="The cape was not used")
    earlier.refresh_from_db()
    assert earlier.place_free_at == later.starts_at
    assert later.changes.get().passed[0]["code"] == "clean-up"
    cancel_appointment(appointment=later, by=booking["by"], because="She rang", at=NOW)
    earlier.refresh_from_db()
    assert earlier.place_free_at == TEN + timedelta(minutes=105)


def test_a_visit_before_another_is_cut_short_itself_and_gets_it_back_when_that_moves_away(booking):
    later = book_appointment(**booking)
    earlier = book_appointment(
        **another(booking, place=booking["place"], starts_at=TEN - timedelta(minutes=90)), anyway_because="No time"
    )
    assert earlier.place_free_at == TEN
    elsewhere = {"starts_at": TEN, "stylist": booking["stylist"], "place": PlaceFactory()}
    move_appointment(appointment=later, **elsewhere, by=booking["by"], at=NOW)
    earlier.refresh_from_db()
    assert earlier.place_free_at == TEN + timedelta(minutes=15)


# Moving


def test_putting_it_down_where_it_was_changes_nothing(booking):
    appointment = book_appointment(**booking)
    same = move_appointment(appointment=appointment, **moving(booking))
    assert same.sequence == 0
    assert same.changes.count() == 1


def test_a_refused_move_leaves_everything_as_it_was(booking):
    in_the_way = book_appointment(**another(booking, starts_at=TEN + timedelta(hours=3)))
    appointment = book_appointment(**booking)
    with pytest.raises(BookingRefused, match="is with") as refusal:
        move_appointment(
            appointment=appointment,
            **moving(booking, stylist=in_the_way.stylist, starts_at=in_the_way.starts_at),
        )
    assert len(refusal.value.nearest) == 3
    appointment.refresh_from_db()
    assert (appointment.starts_at, appointment.sequence, appointment.changes.count()) == (TEN, 0, 1)


def test_whoever_is_late_may_be_given_another_chair_but_no_time_that_is_over(booking):
    appointment, chair = book_appointment(**booking), PlaceFactory()
    late = TEN + timedelta(minutes=40)
    moved = move_appointment(appointment=appointment, **moving(booking, place=chair, at=late))
    assert moved.place == chair
    with pytest.raises(BookingRefused, match="is over"):
        move_appointment(appointment=appointment, **moving(booking, starts_at=TEN + timedelta(minutes=10), at=late))


def test_what_is_not_offered_any_more_may_still_be_moved(booking):
    appointment = book_appointment(**booking)
    booking["kind"].is_offered = False
    booking["kind"].save()
    later = TEN + timedelta(hours=1)
    assert move_appointment(appointment=appointment, **moving(booking, starts_at=later)).starts_at == later


# The last word


def test_what_the_database_refuses_after_the_question_is_told_in_the_same_words(booking, monkeypatch):
    first = book_appointment(**booking)
    asked = []

    def blind_at_first(appointment, *, at):
        asked.append(appointment)
        return [] if len(asked) == 1 else obstacles_to(appointment, at=at)

    monkeypatch.setattr("fittings.taking_time.obstacles_to", blind_at_first)
    with pytest.raises(BookingRefused, match=f"is with {first.client} until 12:30") as refusal:
        book_appointment(**another(booking, stylist=booking["stylist"]))
    assert len(refusal.value.nearest) == 3
    assert Appointment.objects.count() == AppointmentChange.objects.count() == 1


def test_should_nobody_be_seen_even_then_it_is_still_a_sentence(booking, monkeypatch):
    book_appointment(**booking)
    monkeypatch.setattr("fittings.taking_time.obstacles_to", lambda appointment, *, at: [])
    with pytest.raises(BookingRefused, match="has just been taken; choose another"):
        book_appointment(**another(booking, place=booking["place"]))
