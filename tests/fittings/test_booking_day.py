"""The day of an appointment: walk-ins, deposits, how visits end, and what is told of all that was done to one."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from clients.models.consent import ConsentKind
from fittings.booking import (
    NEXT,
    BookingRefused,
    book_appointment,
    cancel_appointment,
    mark_arrived,
    mark_done,
    mark_in_chair,
    mark_missed,
    may_put_back,
    move_appointment,
    put_back,
    take_deposit,
    take_walk_in,
)
from fittings.models import Appointment, AppointmentChange, AwaitedPiece, Closure, Reminder
from salon.models import Salon
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, OwnerFactory
from tests.fittings.bookings import NOW, TEN, a_booking, another, moving
from tests.fittings.factories import AppointmentFactory, PlaceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def booking():
    return a_booking()


# Walking in, deposits, pieces


def test_a_walk_in_begins_this_minute_and_has_arrived(booking):
    here = {name: booking[name] for name in ("client", "kind", "stylist", "place", "by")}
    booking["kind"].deposit_minor = 2000
    appointment = take_walk_in(**here, at=TEN + timedelta(seconds=42), note="Clip came off")
    assert (appointment.starts_at, appointment.state, appointment.note) == (TEN, "arrived", "Clip came off")
    assert not appointment.owes_deposit
    assert [change.what for change in appointment.changes.all()] == ["booked", "arrived"]


def test_a_walk_in_is_refused_like_a_booking(booking):
    book_appointment(**booking)
    here = {name: value for name, value in another(booking, stylist=booking["stylist"]).items() if name != "starts_at"}
    with pytest.raises(BookingRefused, match="is with") as refusal:
        take_walk_in(**here | {"at": TEN + timedelta(minutes=20)})
    assert refusal.value.nearest[0].starts_at == TEN + timedelta(minutes=90)


def test_the_deposit_is_that_of_the_kind_when_it_was_booked_and_is_taken_once(booking):
    closing = {"by": booking["by"], "at": NOW}
    taking = closing | {"method": "card", "salon": Salon.objects.default()}
    without = book_appointment(**another(booking))
    with pytest.raises(ValidationError, match="No deposit is asked"):
        take_deposit(appointment=without, **taking)
    booking["kind"].deposit_minor = 2000
    appointment = book_appointment(**booking)
    booking["kind"].deposit_minor = 3000
    assert appointment.deposit_minor == 2000
    assert appointment.owes_deposit
    paid = take_deposit(appointment=appointment, **taking)
    assert (paid.deposit_taken_by, paid.owes_deposit, paid.sequence) == (booking["by"], False, 0)
    held = paid.deposit_payment
    assert (held.amount_minor, held.is_deposit, held.sale, held.receipt.number) == (2000, True, None, 1)
    assert str(booking["kind"]) not in held.receipt.shown["what_for"]  # it may name a test of her skin
    with pytest.raises(ValidationError, match=r"was already taken on Monday 1 June, 09:00, by"):
        take_deposit(appointment=appointment, **taking)
    cancel_appointment(appointment=without, because="She rang", **closing)
    with pytest.raises(ValidationError, match="is cancelled; no deposit is due"):
        take_deposit(appointment=without, **taking)


def test_a_visit_may_be_for_a_piece_of_hers_that_is_on_its_way_and_for_nobody_elses(booking):
    noting = {"noted_by": booking["by"], "noted_at": NOW}
    hers = AwaitedPiece.objects.create(client=booking["client"], what="A lace front", **noting)
    theirs = AwaitedPiece.objects.create(client=ClientFactory(), what="A mono top", **noting)
    with pytest.raises(ValidationError, match="A mono top is on its way for somebody else"):
        book_appointment(**booking, awaits=theirs)
    assert book_appointment(**booking, awaits=hers).awaits == hers


# How it ends


def test_a_visit_that_ends_early_gives_the_rest_of_its_time_back(booking):
    appointment = book_appointment(**booking)
    done = mark_done(appointment=appointment, by=booking["by"], at=TEN + timedelta(minutes=40, seconds=30))
    assert done.ends_at == TEN + timedelta(minutes=40)
    assert done.place_free_at == TEN + timedelta(minutes=55)
    assert done.sequence == 1
    book_appointment(
        **another(booking, stylist=booking["stylist"], starts_at=TEN + timedelta(minutes=40)) | {"at": TEN}
    )


def test_a_visit_that_ends_late_keeps_its_planned_end(booking):
    appointment = book_appointment(**booking)
    done = mark_done(appointment=appointment, by=booking["by"], at=TEN + timedelta(hours=5))
    assert (done.ends_at, done.sequence) == (TEN + timedelta(minutes=90), 0)


def test_one_who_was_seen_before_her_time_leaves_the_day_free_but_for_a_trace(booking):
    sitting = mark_in_chair(appointment=book_appointment(**booking), by=booking["by"], at=NOW)
    done = mark_done(appointment=sitting, by=booking["by"], at=NOW + timedelta(hours=1))
    assert (done.starts_at, done.ends_at) == (TEN, TEN + timedelta(minutes=5))


def test_nobody_is_done_before_she_has_come(booking):
    with pytest.raises(ValidationError, match="It begins on Tuesday 2 June, 11:00, and she has not been marked"):
        mark_done(appointment=book_appointment(**booking), by=booking["by"], at=NOW)


def test_whether_she_came_is_not_known_before_it_begins(booking):
    appointment = book_appointment(**booking)
    with pytest.raises(ValidationError, match="can't be known before"):
        mark_missed(appointment=appointment, by=booking["by"], at=NOW)
    assert mark_missed(appointment=appointment, by=booking["by"], at=TEN).closed_at == TEN


@pytest.mark.parametrize("state", Appointment.State.values)
def test_each_state_is_followed_by_those_of_the_table_and_by_no_other(booking, state):
    deeds = {
        "arrived": mark_arrived,
        "in the chair": mark_in_chair,
        "done": mark_done,
        "missed": mark_missed,
        "cancelled": lambda **who: cancel_appointment(**who, because="She rang"),
    }
    for after, deed in deeds.items():
        appointment = AppointmentFactory(starts_at=TEN, state=state)
        if after in NEXT.get(state, ()):
            assert deed(appointment=appointment, by=booking["by"], at=TEN).state == after
        else:
            with pytest.raises(ValidationError, match=f"is {state}; it can't become"):
                deed(appointment=appointment, by=booking["by"], at=TEN)


# She came after all


def test_one_marked_as_missed_is_put_back_to_what_it_was_with_who_and_when(booking):
    appointment = book_appointment(**booking)
    half_past, desk = TEN + timedelta(minutes=30), DeskFactory()
    mark_missed(appointment=appointment, by=booking["by"], at=TEN)
    back = put_back(appointment=appointment, by=desk, at=half_past)
    assert (back.state, back.closed_by, back.closed_at, back.sequence) == ("booked", None, None, 2)
    assert (back.starts_at, back.ends_at) == (TEN, TEN + timedelta(minutes=90))
    assert [change.what for change in back.changes.all()] == ["booked", "missed", "booked"]
    newest = back.changes.last()
    assert (newest.by, newest.at, newest.because) == (desk, half_past, "")
    assert mark_arrived(appointment=back, by=desk, at=half_past).state == "arrived"


@pytest.mark.parametrize("taken", ["stylist", "place", "client"])
def test_it_is_not_put_back_where_its_time_is_taken_meanwhile(booking, taken):
    appointment = book_appointment(**booking)
    mark_missed(appointment=appointment, by=booking["by"], at=TEN)
    book_appointment(**another(booking, **{taken: booking[taken]}))
    with pytest.raises(BookingRefused) as refusal:
        put_back(appointment=appointment, by=booking["by"], at=TEN + timedelta(minutes=10))
    assert [obstacle.code for obstacle in refusal.value.obstacles] == [taken]
    appointment.refresh_from_db()
    assert (appointment.state, appointment.closed_at) == ("missed", TEN)


def test_what_was_gone_past_when_it_was_booked_is_gone_past_again(booking):
    appointment = book_appointment(**booking)
    mark_missed(appointment=appointment, by=booking["by"], at=TEN)
    day = TEN.date()
    Closure.objects.create(first_day=day, last_day=day, because="Painters")
    back = put_back(appointment=appointment, by=booking["by"], at=TEN)
    assert [one["code"] for one in back.changes.last().passed] == ["closed"]


def test_it_is_put_back_while_its_day_lasts_by_the_salons_clock_and_later_by_an_owner(booking):
    appointment = book_appointment(**booking)
    mark_missed(appointment=appointment, by=booking["by"], at=TEN)
    midnight = TEN.replace(hour=23)  # 00:00 in London, in summer
    assert may_put_back(Appointment.objects.get(), by=booking["by"], at=midnight - timedelta(minutes=1))
    with pytest.raises(ValidationError, match="only an owner can put it back"):
        put_back(appointment=appointment, by=booking["by"], at=midnight)
    assert put_back(appointment=appointment, by=OwnerFactory(), at=midnight).state == "booked"


@pytest.mark.parametrize("state", ["booked", "arrived", "in the chair", "done", "cancelled"])
def test_nothing_but_a_missed_one_is_put_back(booking, state):
    appointment = AppointmentFactory(starts_at=TEN, state=state)
    with pytest.raises(ValidationError, match=f"is {state}; only one that was missed"):
        put_back(appointment=appointment, by=booking["by"], at=TEN)


# What is told of it


def test_the_changes_tell_the_whole_story(booking):
    booking["kind"].deposit_minor = 2000
    other, desk = PlaceFactory(), booking["by"]
    appointment = book_appointment(**booking)
    hours = iter(NOW + timedelta(hours=n) for n in range(1, 9))
    later = TEN + timedelta(hours=2)
    new = {"starts_at": later, "stylist": booking["stylist"], "place": other}
    take_deposit(appointment=appointment, method="cash", salon=Salon.objects.default(), by=desk, at=next(hours))
    move_appointment(appointment=appointment, **new, by=desk, at=next(hours))
    mark_arrived(appointment=appointment, by=desk, at=next(hours))
    gone = cancel_appointment(appointment=appointment, by=booking["stylist"], because="Felt unwell", at=next(hours))
    assert [
        (change.what, change.by, change.at.hour, change.starts_at, change.place, change.because)
        for change in gone.changes.all()
    ] == [
        ("booked", desk, 8, TEN, booking["place"], ""),
        ("deposit", desk, 9, TEN, booking["place"], ""),
        ("moved", desk, 10, later, other, ""),
        ("arrived", desk, 11, later, other, ""),
        ("cancelled", booking["stylist"], 12, later, other, "Felt unwell"),
    ]
    assert gone.sequence == 2  # moved and cancelled: a calendar shows these two


def test_a_client_who_agreed_is_told_of_the_booking_of_its_new_time_and_of_its_end(booking):
    client = booking["client"] = ClientFactory(email="ada@example.org")
    ConsentFactory(client=client, kind=ConsentKind.REMINDERS, at=NOW - timedelta(days=1))
    booking |= {"starts_at": TEN + timedelta(days=7)}
    appointment = book_appointment(**booking)
    booked = set(appointment.reminders.filter(state="due").values_list("kind", "due_at"))
    assert booked
    move_appointment(appointment=appointment, **moving(booking, starts_at=TEN + timedelta(days=9)))
    moved = set(appointment.reminders.filter(state="due").values_list("kind", "due_at"))
    assert moved != booked
    cancel_appointment(appointment=appointment, by=booking["by"], because="She rang", at=NOW)
    assert not appointment.reminders.filter(state="due", kind__in=["two days", "same day"]).exists()


def test_a_refusal_leaves_nothing_behind(booking):
    book_appointment(**booking)
    before = (AppointmentChange.objects.count(), Reminder.objects.count())
    with pytest.raises(BookingRefused):
        book_appointment(**another(booking, place=booking["place"]))
    assert (Appointment.objects.count(), AppointmentChange.objects.count(), Reminder.objects.count()) == (1, *before)
