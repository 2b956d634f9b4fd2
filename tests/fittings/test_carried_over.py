"""The migrations that carry over what kinds, places and bookings were before hours and changes were kept."""

from datetime import timedelta

import pytest
from django.contrib.auth.hashers import make_password
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.utils.timezone import now

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
BEFORE = [
    ("fittings", "0004_photos_of_a_visit"),
    ("clients", "0005_photos_and_colours_read_from_them"),
    ("salon", "0004_who_may_see_photos_and_read_shades"),
]


def migrate(targets):
    executor = MigrationExecutor(connection)
    executor.migrate(targets)
    return MigrationExecutor(connection).loader.project_state(targets).apps


@pytest.fixture
def before():
    """The tables as they were, and afterwards as they are."""
    newest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield migrate(BEFORE)
    migrate(newest)


@pytest.fixture
def newest():
    return MigrationExecutor(connection).loader.graph.leaf_nodes()


def booked(apps, clerk, client, kind, place, starts_at, **more):
    return apps.get_model("fittings", "Appointment").objects.create(
        reference=f"B-{starts_at:%H%M%S}00",
        client=client,
        kind=kind,
        stylist=clerk,
        place=place,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(minutes=60),
        place_free_at=starts_at + timedelta(minutes=70),
        booked_by=clerk,
        **more,
    )


def test_rooms_consults_bookings_and_addresses_are_carried_over(newest, before):
    clerk = before.get_model("salon", "User").objects.create(username="wilma", password=make_password(None))
    client = before.get_model("clients", "Client").objects.create(
        reference="C-00000000",
        given_name="Ada",
        family_name="Ashdown",
        given_folded="ada",
        family_folded="ashdown",
        email="Ada@Ashdown.EXAMPLE",
        created_by=clerk,
    )
    kinds, places = before.get_model("fittings", "ServiceKind"), before.get_model("fittings", "Place")
    consult = kinds.objects.create(name="Consult", minutes=60, clean_up_minutes=10, is_consult=True)
    kinds.objects.create(name="Wash", minutes=30)
    room = places.objects.create(name="Quiet room", is_private=True)
    places.objects.create(name="Chair 1")
    places.objects.create(name="Basin by the window")
    begins = now().replace(hour=9, minute=0, second=0, microsecond=0) + timedelta(days=3)
    booked(before, clerk, client, consult, room, begins)
    booked(
        before,
        clerk,
        client,
        consult,
        room,
        begins + timedelta(hours=2),
        state="cancelled",
        closed_by=clerk,
        closed_at=now(),
        closed_because="She rang.",
    )
    after = migrate(newest)
    sorts = dict(after.get_model("fittings", "Place").objects.values_list("name", "sort"))
    assert sorts == {"Quiet room": "room", "Chair 1": "chair", "Basin by the window": "basin"}
    purposes = dict(after.get_model("fittings", "ServiceKind").objects.values_list("name", "purpose"))
    assert purposes == {"Consult": "consult", "Wash": "other"}
    assert after.get_model("clients", "Client").objects.get().email_folded == "ada@ashdown.example"
    appointments = after.get_model("fittings", "Appointment").objects.order_by("starts_at")
    assert len({appointment.calendar_uid for appointment in appointments}) == 2
    stands, cancelled = appointments
    assert [change.what for change in stands.changes.order_by("pk")] == ["booked"]
    assert [(change.what, change.because) for change in cancelled.changes.order_by("pk")] == [
        ("booked", ""),
        ("cancelled", "She rang."),
    ]
    with pytest.raises(IntegrityError), transaction.atomic():  # what refuses an overlap is there again
        booked(after, after.get_model("salon", "User").objects.get(), *named(after), begins + timedelta(minutes=65))


def named(apps):
    return (
        apps.get_model("clients", "Client").objects.get(),
        apps.get_model("fittings", "ServiceKind").objects.get(name="Consult"),
        apps.get_model("fittings", "Place").objects.get(sort="room"),
    )
