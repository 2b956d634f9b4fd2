"""Fifty processes book at the same moment: one gets the slot, the others a sentence each, nothing is left halfway."""

import random
from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest

from clients.models.consent import ConsentKind
from fittings.booking import book_appointment
from fittings.models import Appointment, AppointmentChange, Reminder
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

AT_ONCE, ROUNDS = 50, 20
NOW = datetime(2026, 6, 1, 8, 0, tzinfo=UTC)
TEN = datetime(2026, 6, 8, 10, 0, tzinfo=UTC)
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def salon():
    """As many clients, stylists and places as racers, and what all bookings share. All clients agree to messages."""
    desk = DeskFactory()
    clients = [ClientFactory(email=f"ada{n}@example.org", by=desk) for n in range(AT_ONCE)]
    for client in clients:
        ConsentFactory(client=client, kind=ConsentKind.REMINDERS, by=desk, at=NOW - timedelta(days=1))
    return {
        "client": clients,
        "stylist": StylistFactory.create_batch(AT_ONCE),
        "place": PlaceFactory.create_batch(AT_ONCE),
        "kind": ServiceKindFactory(minutes=60, clean_up_minutes=15),
        "by": desk,
    }


def booking(salon, number, shared=(), **more):
    """The booking of that racer: everybody's own, but what they share."""
    own = {what: salon[what][0 if what in shared else number] for what in ("client", "stylist", "place")}
    return {"kind": salon["kind"], "by": salon["by"], "at": NOW} | own | more


def keys(wanted):
    return {name: getattr(value, "pk", value) for name, value in wanted.items()}


def books(salon, number, shared=(), **more):
    return ("book_appointment", keys(booking(salon, number, shared, **more)))


def test_of_fifty_at_one_slot_one_wins_and_the_rest_hear_who_and_when_else(salon, racers):
    control = book_appointment(**booking(salon, 0, starts_at=TEN - timedelta(days=1)))
    messages = Reminder.objects.filter(appointment=control).count()
    assert messages > 1
    for number in range(ROUNDS):
        shared = [("place",), ("stylist",), ("client",), ("stylist", "place")][number % 4]
        slot = TEN + timedelta(days=number)
        outcomes = racers.race([books(salon, racer, shared, starts_at=slot) for racer in range(AT_ONCE)])
        assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
        assert Counter(outcome.what for outcome in outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        winner = Appointment.objects.get(starts_at=slot)
        assert winner.client == salon["client"][0 if "client" in shared else [o.what for o in outcomes].index("done")]
        for outcome in outcomes:
            if outcome.what == "refused":
                assert set(shared) <= set(outcome.codes)
                assert str(winner.client) in outcome.says
                assert outcome.nearest == 3
                assert "The nearest free times are" in outcome.says
        assert Appointment.objects.count() == number + 2  # with the one before the race
        assert AppointmentChange.objects.count() == number + 2
        assert Reminder.objects.count() == (number + 2) * messages


def test_of_fifty_that_overlap_partly_those_stand_that_can(salon, racers):
    choices = random.Random(20260601)  # no secret: the same race for everybody
    for number in range(3):
        day = TEN + timedelta(days=number)
        slots = [day + timedelta(minutes=5 * choices.randrange(72)) for _ in range(AT_ONCE)]
        outcomes = racers.race([books(salon, racer, ("place",), starts_at=slots[racer]) for racer in range(AT_ONCE)])
        assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
        taken = Counter(
            minute
            for slot, outcome in zip(slots, outcomes, strict=True)
            if outcome.what == "done"
            for minute in minutes_of(slot)
        )
        assert max(taken.values()) == 1
        for slot, outcome in zip(slots, outcomes, strict=True):
            if outcome.what == "refused":
                assert any(minute in taken for minute in minutes_of(slot)), "refused, though nobody has that time"
                assert set(outcome.codes) <= {"place", "clean-up"}
    assert Appointment.objects.count() == AppointmentChange.objects.count()


def minutes_of(slot):
    """Every minute in which the place is held for a visit that begins then, clean-up included."""
    return [slot + timedelta(minutes=minute) for minute in range(75)]


def test_booking_moving_cancelling_and_marking_at_once_never_wait_for_each_other_in_a_ring(salon, racers):
    """Moves that change places with each other, over each other's clean-up, are where two could hold what the other
    needs."""
    for number in range(4):
        day = TEN + timedelta(days=number)
        standing = [
            book_appointment(**booking(salon, n, starts_at=day + timedelta(minutes=60 * (n % 2)))) for n in range(20)
        ]
        deeds = []
        for n in range(0, 20, 2):  # each goes to the other's place, right after or before the other's visit
            one, other = standing[n], standing[n + 1]
            deeds += [
                moves(salon, one, other, day + timedelta(minutes=120)),
                moves(salon, other, one, day - timedelta(minutes=60)),
            ]
        for n in range(10):  # the same appointments are cancelled or marked meanwhile
            who = {"appointment": standing[n].pk, "by": salon["by"].pk, "at": NOW}
            deeds.append(("cancel_appointment", who | {"because": "She rang"}) if n % 2 else ("mark_arrived", who))
        for n in range(20):  # and others want the time between them
            over = {"starts_at": day + timedelta(minutes=60), "anyway_because": "No time to lose"}
            deeds.append(("book_appointment", keys(booking(salon, 20 + n, place=salon["place"][n], **over))))
        outcomes = racers.race(deeds)
        assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
        nothing_overlaps()
    done = Counter(AppointmentChange.objects.values_list("what", flat=True))
    assert min(done["booked"], done["moved"], done["cancelled"], done["arrived"]) > 0


def moves(salon, appointment, to_place_of, starts_at):
    return (
        "move_appointment",
        keys(
            {
                "appointment": appointment,
                "starts_at": starts_at,
                "stylist": appointment.stylist,
                "place": to_place_of.place,
                "by": salon["by"],
                "at": NOW,
                "anyway_because": "They change places",
            }
        ),
    )


def nothing_overlaps():
    for what, until in (("place", "place_free_at"), ("stylist", "ends_at"), ("client", "ends_at")):
        rows = (
            Appointment.objects.standing()
            .order_by(f"{what}_id", "starts_at")
            .values_list(f"{what}_id", "starts_at", until)
        )
        before = (None, None, None)
        for row in rows:
            assert row[0] != before[0] or row[1] >= before[2], f"two at once of one {what}"
            before = row
