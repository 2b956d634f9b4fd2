"""Which messages exist after which deed: `tell_of`, `tell_of_test`, and the sweep for those who agree later."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection

from clients.consenting import withdraw_consent
from clients.models import Consent
from clients.skin_testing import strike_out_skin_test
from fittings.messages import wanted as why
from fittings.models import Reminder
from fittings.reminding import tell_of, tell_of_test, tell_the_untold
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, ProductFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)  # a Monday; London keeps UTC until the 29th
THURSDAY = datetime(2026, 3, 5, 10, 30, tzinfo=UTC)
FRIDAY = datetime(2026, 3, 6, 15, 0, tzinfo=UTC)


def agreeing(**about_her):
    her = ClientFactory(email="ada@ashdown.example", **about_her)
    ConsentFactory(client=her, kind="reminders", at=NOW - timedelta(days=30))
    return her


def booked(starts_at=THURSDAY, **how):
    return AppointmentFactory(client=how.pop("client", None) or agreeing(), starts_at=starts_at, **how)


def told(appointment, at=NOW):
    tell_of(appointment=appointment, at=at)
    return rows(appointment)


def rows(appointment):
    return {(row.kind, row.state) for row in Reminder.objects.filter(appointment=appointment)}


def moved(appointment, starts_at):
    appointment.ends_at += starts_at - appointment.starts_at
    appointment.place_free_at += starts_at - appointment.starts_at
    appointment.starts_at = starts_at
    appointment.save()


def in_state(appointment, state):
    appointment.state = state
    appointment.save()


def sent(appointment, kind, at=NOW):
    Reminder.objects.filter(appointment=appointment, kind=kind, state="due").update(
        state="sent", sent_at=at, claimed_at=at
    )


def due(appointment, kind):
    return Reminder.objects.get(appointment=appointment, kind=kind, state="due").due_at


def test_a_booking_is_confirmed_at_once_and_told_of_two_days_before_and_on_the_day():
    appointment = booked()
    assert told(appointment) == {("confirmation", "due"), ("two days", "due"), ("same day", "due")}
    assert due(appointment, "confirmation") == NOW
    assert due(appointment, "two days") == THURSDAY - timedelta(days=2)
    assert due(appointment, "same day") == datetime(2026, 3, 5, 8, 0, tzinfo=UTC)


def test_telling_again_changes_nothing():
    appointment = booked()
    told(appointment)
    before = list(Reminder.objects.values())
    told(appointment, at=NOW + timedelta(hours=5))
    assert list(Reminder.objects.values()) == before


def test_without_her_consent_nothing_is_made():
    assert told(AppointmentFactory(starts_at=THURSDAY, client=ClientFactory(email="ada@ashdown.example"))) == set()


def test_consent_taken_back_drops_what_waits_and_given_again_takes_it_up():
    appointment = booked()
    told(appointment)
    withdraw_consent(consent=Consent.objects.get(), by=DeskFactory(), at=NOW)
    assert {state for _, state in told(appointment)} == {"dropped"}
    assert set(Reminder.objects.values_list("trouble", flat=True)) == {why.NOT_AGREED}
    ConsentFactory(client=appointment.client, kind="reminders")
    assert {state for _, state in told(appointment)} == {"due"}
    assert Reminder.objects.count() == 3


def test_a_client_without_an_address_gets_none_and_the_log_says_why():
    appointment = booked()
    appointment.client.email = ""
    appointment.client.save()
    assert {state for _, state in told(appointment)} == {"dropped"}
    assert set(Reminder.objects.values_list("trouble", flat=True)) == {why.NO_ADDRESS}


def test_moved_before_she_was_told_is_a_confirmation_of_the_new_time_alone():
    appointment = booked()
    told(appointment)
    moved(appointment, FRIDAY)
    told(appointment)
    waiting = Reminder.objects.filter(state="due")
    assert {row.kind for row in waiting} == {"confirmation", "two days", "same day"}
    assert {row.about for row in waiting} == {"2026-03-06T15:00:00Z"}
    assert set(Reminder.objects.filter(state="dropped").values_list("trouble", flat=True)) == {why.MOVED}


def test_moved_after_she_was_told_is_a_new_time_each_time_she_must_unlearn_one():
    appointment = booked()
    told(appointment)
    sent(appointment, "confirmation")
    for hour, starts_at in enumerate((FRIDAY, THURSDAY, FRIDAY), start=1):
        moved(appointment, starts_at)
        told(appointment, at=NOW + timedelta(hours=hour))
        sent(appointment, "changed", at=NOW + timedelta(hours=hour))
    assert [row.about for row in Reminder.objects.filter(kind="changed").order_by("pk")] == [
        "2026-03-06T15:00:00Z #1",
        "2026-03-05T10:30:00Z #2",
        "2026-03-06T15:00:00Z #3",
    ]
    assert Reminder.objects.filter(kind="same day", state="due").get().about == "2026-03-06T15:00:00Z"


def test_moved_and_moved_back_before_the_news_went_out_is_no_news():
    appointment = booked()
    told(appointment)
    sent(appointment, "confirmation")
    moved(appointment, FRIDAY)
    told(appointment)
    moved(appointment, THURSDAY)
    assert told(appointment) >= {("confirmation", "sent"), ("changed", "dropped"), ("two days", "due")}
    assert not Reminder.objects.filter(state="due", about__startswith="2026-03-06").exists()


def test_another_stylist_at_the_same_time_is_no_news():
    appointment = booked()
    told(appointment)
    appointment.stylist = StylistFactory()
    appointment.sequence += 1
    appointment.save()
    assert len(told(appointment)) == 3


def test_cancelled_is_told_to_her_who_was_told_of_the_time_and_to_nobody_else():
    known, unknown = booked(), booked(starts_at=FRIDAY)
    for appointment in (known, unknown):
        told(appointment)
    sent(known, "confirmation")
    for appointment in (known, unknown):
        in_state(appointment, "cancelled")
    assert told(known) >= {("cancelled", "due"), ("same day", "dropped")}
    assert {state for _, state in told(unknown)} == {"dropped"}


@pytest.mark.parametrize("state", ["arrived", "in the chair", "done", "missed"])
def test_who_has_come_or_was_missed_is_told_nothing(state):
    appointment = booked()
    told(appointment)
    in_state(appointment, state)
    assert {state for _, state in told(appointment, at=THURSDAY)} == {"dropped"}


def test_a_walk_in_is_told_nothing():
    assert told(booked(starts_at=NOW, state="arrived")) == set()


@pytest.mark.parametrize(
    ("booked_at", "kinds"),
    [
        (datetime(2026, 3, 3, 7, 31, tzinfo=UTC), {"confirmation", "same day"}),  # two days before is three hours away
        (datetime(2026, 3, 5, 4, 59, tzinfo=UTC), {"confirmation", "same day"}),
        (datetime(2026, 3, 5, 5, 1, tzinfo=UTC), {"confirmation"}),
    ],
)
def test_no_reminder_within_three_hours_of_booking(booked_at, kinds):
    assert {kind for kind, _ in told(booked(), at=booked_at)} == kinds


def test_a_visit_before_the_salon_opens_has_no_message_of_the_morning():
    assert ("same day", "due") not in told(booked(starts_at=THURSDAY.replace(hour=8)))


def test_reminders_keep_to_the_clock_on_the_wall_when_the_clocks_change():
    monday = datetime(2026, 3, 30, 9, 30, tzinfo=UTC)  # half past ten in London, the day after the clocks went forward
    appointment = booked(starts_at=monday)
    told(appointment)
    assert due(appointment, "two days") == datetime(2026, 3, 28, 10, 30, tzinfo=UTC)
    assert due(appointment, "same day") == datetime(2026, 3, 30, 7, 0, tzinfo=UTC)


@pytest.mark.django_db(transaction=True)
def test_several_who_tell_at_once_make_each_message_once():
    appointment = booked()

    def tell(_):
        try:
            tell_of(appointment=appointment, at=NOW)
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as several:
        list(several.map(tell, range(8)))
    assert sorted(Reminder.objects.values_list("kind", flat=True)) == ["confirmation", "same day", "two days"]


def test_looking_for_the_untold_takes_the_same_queries_for_one_as_for_many(django_assert_num_queries):
    for more in (1, 4):
        for _ in range(more):
            told(booked())
        with django_assert_num_queries(
            5
        ):  # appointments, tests, care dates; before those the salon and its house rules
            assert tell_the_untold(at=NOW) == 0


# Tests to be read


def was_tested(applied_at=NOW, client=None):
    her = client or agreeing(record_consent=True)
    test = SkinTestFactory(client=her, at=applied_at)
    tell_of_test(skin_test=test, at=NOW)
    return test


def test_she_is_asked_back_once_her_test_can_be_read():
    test = was_tested()
    row = Reminder.objects.get(skin_test=test)
    assert (row.kind, row.state, row.due_at) == ("reading", "due", NOW + timedelta(hours=48))


def test_two_tests_of_one_visit_ask_her_back_once():
    test = was_tested()
    was_tested(client=test.client, applied_at=NOW + timedelta(minutes=5))
    assert list(Reminder.objects.order_by("pk").values_list("state", "trouble")) == [
        ("due", ""),
        ("dropped", why.SAID_ALREADY),
    ]


def test_a_test_that_was_read_asks_nobody_back():
    test = was_tested()
    test.read_at, test.read_by, test.reacted = NOW + timedelta(hours=48), test.applied_by, False
    test.save()
    tell_of_test(skin_test=test, at=NOW + timedelta(hours=48))
    assert Reminder.objects.get().trouble == why.READ


def test_she_is_asked_back_when_its_product_says_that_it_can_be_read():
    her, tape = agreeing(record_consent=True), ProductFactory(read_after_hours=120)
    test = SkinTestFactory(client=her, product=tape, kind="", at=NOW)
    assert tell_the_untold(at=NOW + timedelta(hours=97)) == 1
    row = Reminder.objects.get(skin_test=test)
    assert (row.state, row.due_at) == ("due", NOW + timedelta(hours=120))


def test_a_test_that_was_struck_out_asks_nobody_back():
    test = was_tested()
    strike_out_skin_test(test=test, because="Another client's", by=test.applied_by, at=NOW + timedelta(hours=1))
    tell_of_test(skin_test=test, at=NOW + timedelta(hours=1))
    assert Reminder.objects.get().trouble == why.STRUCK_OUT
