"""The waiting list: what may stand on it, who is asked first when a time comes free, how a wish becomes a visit."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from fittings.booking import BookingRefused, book_appointment, cancel_appointment
from fittings.models import Appointment, TimeOff, WaitingEntry
from fittings.waiting import book_from_list, put_on_list, take_off_list, who_could_take
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 3, 1, 9, 0, tzinfo=UTC)  # a Monday
TEN = datetime(2027, 3, 3, 10, 0, tzinfo=UTC)  # the Wednesday after


@pytest.fixture
def desk():
    return DeskFactory()


@pytest.fixture
def imke():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def room():
    return PlaceFactory(name="Quiet room", sort="room")


@pytest.fixture
def consult():
    return ServiceKindFactory(name="Consult", minutes=90, clean_up_minutes=15)


@pytest.fixture
def wash():
    return ServiceKindFactory(name="Wash", purpose="wash", minutes=45, clean_up_minutes=0)


@pytest.fixture
def freed(desk, imke, room, consult):
    """A consult on Wednesday at ten that was just cancelled."""
    booked = book_appointment(
        client=ClientFactory(), kind=consult, stylist=imke, place=room, starts_at=TEN, by=desk, at=NOW
    )
    return cancel_appointment(appointment=booked, by=desk, because="She rang, has a cold.", at=NOW)


def waits(desk, kind, *, name="Ada", at=NOW, **wish):
    wish = {"earliest_on": date(2027, 3, 1)} | wish
    client = wish.pop("client", None) or ClientFactory(given_name=name)
    return put_on_list(client=client, kind=kind, by=desk, at=at, **wish)


def asked(freed, at=NOW):
    return [fit.entry for fit in who_could_take(appointment=freed, at=at)]


def test_who_asked_for_the_stylist_comes_first_then_the_best_filling_then_the_longest_waiting(
    desk, imke, consult, wash, freed
):
    short = waits(desk, wash, at=NOW - timedelta(days=30))
    late = waits(desk, consult, at=NOW - timedelta(days=2))
    early = waits(desk, consult, at=NOW - timedelta(days=9))
    for_her = waits(desk, wash, stylist=imke, at=NOW - timedelta(days=1))
    assert asked(freed) == [for_her, early, late, short]


def test_the_list_says_why(desk, imke, consult, freed):
    waits(desk, consult, stylist=imke, short_notice=True)
    (fit,) = who_could_take(appointment=freed, at=NOW)
    assert fit.why == (
        "asked for Imke Valcourt",
        "the same kind of visit",
        "can come at short notice",
        "waiting since 1 March",
    )
    assert (fit.starts_at, fit.stylist, fit.place) == (TEN, imke, freed.place)


@pytest.mark.parametrize(
    "wish",
    [
        {"earliest_on": date(2027, 3, 4)},
        {"latest_on": date(2027, 3, 2)},
        {"part_of_day": "afternoons"},
        {"weekdays": [1, 2, 4, 5]},
    ],
    ids=str,
)
def test_who_can_not_come_then_is_not_asked(desk, consult, freed, wish):
    waits(desk, consult, **wish)
    assert asked(freed) == []


def test_who_asked_for_somebody_else_is_not_asked(desk, consult, freed):
    waits(desk, consult, stylist=StylistFactory())
    assert asked(freed) == []


def test_a_visit_that_the_stylist_does_not_do_is_not_offered(desk, consult, wash, freed):
    wash.done_by.set([StylistFactory()])
    waits(desk, wash)
    assert asked(freed) == []


def test_a_visit_too_long_for_the_time_is_not_offered(desk, imke, freed, consult):
    colour = ServiceKindFactory(name="Colour", purpose="colour", minutes=150)
    waits(desk, colour)
    assert len(asked(freed)) == 1  # nothing follows: the stylist is free for longer than what was cancelled
    book_appointment(
        client=ClientFactory(),
        kind=consult,
        stylist=imke,
        place=PlaceFactory(),
        starts_at=TEN + timedelta(minutes=90),
        by=desk,
        at=NOW,
    )
    assert asked(freed) == []


def test_another_place_is_found_where_this_one_does_not_suit_or_is_taken(desk, wash, freed):
    wash.in_private_room = wash.at_chair = False
    wash.save()
    waits(desk, wash)
    assert asked(freed) == []
    basin = PlaceFactory(name="Basin", sort="basin")
    (fit,) = who_could_take(appointment=freed, at=NOW)
    assert fit.place == basin
    assert "at Basin" in fit.why


def test_who_has_another_appointment_then_is_not_asked(desk, wash, freed):
    her = waits(desk, wash).client
    book_appointment(
        client=her,
        kind=wash,
        stylist=StylistFactory(),
        place=PlaceFactory(),
        starts_at=TEN + timedelta(minutes=30),
        by=desk,
        at=NOW,
    )
    assert asked(freed) == []


def test_nobody_is_asked_for_a_time_at_which_the_stylist_is_away_or_that_is_over(desk, imke, consult, freed):
    waits(desk, consult)
    assert asked(freed, at=TEN + timedelta(hours=2)) == []
    TimeOff.objects.create(stylist=imke, starts_at=TEN - timedelta(hours=1), ends_at=TEN + timedelta(hours=1))
    assert asked(freed) == []


def test_at_short_notice_only_those_are_asked_who_said_they_could(desk, wash, freed):
    waits(desk, wash)
    ready = waits(desk, wash, short_notice=True)
    fits = who_could_take(appointment=freed, at=TEN + timedelta(minutes=5))
    assert [(fit.entry, fit.starts_at) for fit in fits] == [(ready, TEN + timedelta(minutes=15))]


def test_the_questions_do_not_grow_with_the_list(desk, consult, wash, freed, django_assert_max_num_queries):
    for _ in range(3):
        waits(desk, consult)
    with django_assert_max_num_queries(12):
        assert len(asked(freed)) == 3
    for _ in range(20):
        waits(desk, ServiceKindFactory(name=f"Kind {WaitingEntry.objects.count()}", minutes=30))
    with django_assert_max_num_queries(12):
        assert len(asked(freed)) == 23


def test_a_wish_becomes_an_appointment_and_leaves_the_list(desk, imke, room, consult, freed):
    entry = waits(desk, consult, note="Rings before she comes.")
    booked = book_from_list(entry=entry, starts_at=TEN, stylist=imke, place=room, by=desk, at=NOW)
    entry.refresh_from_db()
    assert (booked.client, booked.starts_at, booked.note) == (entry.client, TEN, "Rings before she comes.")
    assert (entry.state, entry.booked_as, entry.closed_by) == ("booked", booked, desk)
    with pytest.raises(ValidationError, match="not waiting any more: booked"):
        book_from_list(entry=entry, starts_at=TEN, stylist=imke, place=room, by=desk, at=NOW)


def test_coming_earlier_gives_the_later_appointment_back(desk, imke, room, consult, freed):
    her = ClientFactory()
    later = book_appointment(
        client=her, kind=consult, stylist=imke, place=room, starts_at=TEN + timedelta(days=21), by=desk, at=NOW
    )
    entry = waits(desk, consult, client=her, instead_of=later)
    booked = book_from_list(entry=entry, starts_at=TEN, stylist=imke, place=room, by=desk, at=NOW)
    later.refresh_from_db()
    assert (later.state, later.closed_because) == ("cancelled", "She comes earlier, from the waiting list.")
    assert Appointment.objects.standing().get(client=her) == booked


def test_a_refused_booking_leaves_the_wish_and_the_later_appointment_as_they_were(desk, imke, room, consult, freed):
    her = ClientFactory()
    later = book_appointment(
        client=her, kind=consult, stylist=imke, place=room, starts_at=TEN + timedelta(days=21), by=desk, at=NOW
    )
    entry = waits(desk, consult, client=her, instead_of=later)
    book_appointment(client=ClientFactory(), kind=consult, stylist=imke, place=room, starts_at=TEN, by=desk, at=NOW)
    with pytest.raises(BookingRefused):
        book_from_list(entry=entry, starts_at=TEN, stylist=imke, place=room, by=desk, at=NOW)
    entry.refresh_from_db()
    later.refresh_from_db()
    assert (entry.state, later.state) == ("waiting", "booked")


def test_a_wish_can_be_taken_off_once(desk, consult):
    entry = take_off_list(entry=waits(desk, consult), because=" Found  another time. ", by=desk, at=NOW)
    assert (entry.state, entry.closed_because) == ("given up", "Found another time.")
    with pytest.raises(ValidationError, match="not waiting any more"):
        take_off_list(entry=entry, because="", by=desk, at=NOW)


@pytest.mark.parametrize(
    ("wish", "sentence"),
    [
        ({"latest_on": date(2027, 2, 28), "earliest_on": date(2027, 2, 1)}, "That day is over"),
        ({"latest_on": date(2027, 3, 9), "earliest_on": date(2027, 3, 12)}, "not before the first"),
        ({"weekdays": [0, 8]}, "A weekday is 1"),
    ],
)
def test_a_wish_that_can_not_be_met_is_refused(desk, consult, wish, sentence):
    with pytest.raises(ValidationError, match=sentence):
        waits(desk, consult, **wish)
    assert not WaitingEntry.objects.exists()


def test_nobody_waits_twice_for_the_same_or_instead_of_anothers_visit(desk, imke, room, consult):
    entry = waits(desk, consult)
    with pytest.raises(ValidationError, match="on the list for this already"):
        waits(desk, consult, client=entry.client)
    others = book_appointment(
        client=ClientFactory(), kind=consult, stylist=imke, place=room, starts_at=TEN, by=desk, at=NOW
    )
    with pytest.raises(ValidationError, match="earlier than an appointment of hers"):
        waits(desk, consult, instead_of=others)
