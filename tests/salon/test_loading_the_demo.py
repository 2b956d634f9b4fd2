"""Loading the demo: into an empty database alone, at any moment, and alike for the same one."""

from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction

from clients.models import Assessment, Client
from fittings.models import Appointment, Fitting, Reminder, TryOn, WaitingEntry
from pieces.models import Piece
from salon.demo.loading import load_demo_salon
from tests.factories import ClientFactory

SUNDAY_OF_A_CLOCK_CHANGE = datetime(2026, 3, 29, 11, 40, tzinfo=UTC)


@pytest.mark.django_db
def test_a_database_with_clients_is_refused_and_left_as_it_is():
    ClientFactory()
    with pytest.raises(ValidationError, match="There are clients in this database already"):
        load_demo_salon(at=SUNDAY_OF_A_CLOCK_CHANGE)
    assert Client.objects.count() == 1
    assert not Piece.objects.exists()


@pytest.mark.slow
@pytest.mark.django_db
@pytest.mark.parametrize(
    "at",
    [
        datetime(2026, 11, 1, 0, 5, tzinfo=UTC),
        datetime(2026, 11, 3, 23, 55, tzinfo=UTC),
    ],
    ids=["Sunday after midnight", "Tuesday before midnight"],
)
def test_the_days_hold_no_clash_and_nobody_gets_mail_whenever_it_is_loaded(at, mailoutbox):
    load_demo_salon(at=at)  # the deeds refuse a clash by themselves
    assert Fitting.objects.open().count() == 2
    assert Reminder.objects.filter(state="sent").exists()
    assert not mailoutbox


@pytest.mark.slow
@pytest.mark.django_db
def test_the_same_moment_gives_the_same_salon():
    seen = []
    for _ in range(2):
        with transaction.atomic():
            load_demo_salon(at=SUNDAY_OF_A_CLOCK_CHANGE)
            tried = TryOn.objects.order_by("logged_at", "pk").values_list(
                "candidate__variant__piece__name",
                "candidate__cover",
                "candidate__set_back_mm",
                "unit__number",
                "outcome",
            )
            booked = Appointment.objects.values_list("client__given_name", "starts_at", "place__name", "state")
            told = Reminder.objects.order_by("due_at", "client__given_name").values_list("kind", "due_at", "state")
            wished = WaitingEntry.objects.values_list("client__given_name", "kind__name", "earliest_on", "made_at")
            maps = Assessment.objects.order_by("started_at", "client__given_name").values_list("density_hex", flat=True)
            seen.append([list(rows) for rows in (tried, booked, told, wished, maps)])
            transaction.set_rollback(True)
    assert seen[0] == seen[1]
