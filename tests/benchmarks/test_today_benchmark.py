"""Does the day's page, equally full, take longer in a salon with 100,000 clients and 500,000 appointments than in one
with 1,000 and 5,000? And what does a refresh cost when nothing is new?"""

from datetime import datetime, time, timedelta
from itertools import count, islice, product
from statistics import median
from time import perf_counter
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.urls import reverse
from django.utils.timezone import now

from clients.consent_texts import CONSENT_TEXTS
from clients.models import Client, Consent, SkinTest
from fittings.models import Appointment, AwaitedPiece, UnitToTry
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory
from tests.pieces.factories import UnitFactory

pytestmark = [pytest.mark.slow, pytest.mark.thorough, pytest.mark.django_db]

TIMES = 25
A_VISIT = timedelta(minutes=30)
FEW, MANY = (1_000, 5_000), (100_000, 500_000)  # clients, appointments
STAFF, PLACES, VISITS_A_DAY = 10, 10, 20
ON_THE_DAY = 30
BATCH = 4_000


def batched(rows):
    rows = iter(rows)
    while batch := list(islice(rows, BATCH)):
        yield batch


@pytest.fixture
def salon():
    return Past()


class Past:
    """A salon in which ten stylists at ten places have seen two hundred clients a day, for as long as it takes."""

    def __init__(self):
        self.desk = DeskFactory()
        self.stylists = StylistFactory.create_batch(STAFF)
        self.places = PlaceFactory.create_batch(PLACES)
        self.kind = ServiceKindFactory(name="Check-up", purpose="check-up", minutes=30, clean_up_minutes=0)
        self.clients, self.slots = [], self._slots()
        self.numbers = count(1)

    def _slots(self):
        """(stylist, place, beginning) going back day by day from last week; no two share anything."""
        for days in count(7):
            morning = datetime.combine(now().date() - timedelta(days=days), time(7), ZoneInfo("UTC"))
            for number, pair in product(range(VISITS_A_DAY), zip(self.stylists, self.places, strict=True)):
                yield (*pair, morning + number * A_VISIT)

    def grow_to(self, clients, appointments):
        for numbers in batched(range(len(self.clients), clients)):
            self.clients += Client.objects.bulk_create(self._client(number) for number in numbers)
        known = set(Consent.objects.values_list("client", flat=True))
        new = [client for client in self.clients if client.pk not in known]
        for some in batched(new):
            Consent.objects.bulk_create(self._consent(client) for client in some)
            SkinTest.objects.bulk_create(self._skin_test(client) for client in some[::10])
            AwaitedPiece.objects.bulk_create(
                AwaitedPiece(client=client, what="A piece", noted_by=self.desk, noted_at=now()) for client in some[::20]
            )
        there = Appointment.objects.count()
        for slots in batched(islice(self.slots, appointments - there)):
            Appointment.objects.bulk_create(self._visit(*slot) for slot in slots)
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("ANALYZE")  # which it does by itself, only later

    def _client(self, number):
        client = Client(
            reference=f"C-{number}",
            given_name="Ada",
            family_name=f"Ashdown {number}",
            phone=f"07{number:09d}",
            created_by=self.desk,
        )
        client.fold()
        return client

    def _consent(self, client):
        words = CONSENT_TEXTS["record"]
        return Consent(
            client=client,
            kind="record",
            text_version=words.version,
            text="As signed.",
            signed_name=str(client),
            given_at=now(),
            recorded_by=self.desk,
        )

    def _skin_test(self, client):
        return SkinTest(
            client=client, kind="adhesive", product="Tape", applied_at=now(), applied_by=self.stylists[0]
        )

    def _visit(self, stylist, place, starts_at):
        number = next(self.numbers)
        client = self.clients[number % len(self.clients)]
        ends_at = starts_at + A_VISIT
        return Appointment(  # drawn at random, two of so many references made at once would be alike
            reference=f"B-{number}",
            calendar_uid=UUID(int=number),
            client=client,
            kind=self.kind,
            stylist=stylist,
            place=place,
            starts_at=starts_at,
            ends_at=ends_at,
            place_free_at=ends_at,
            state="done",
            booked_by=self.desk,
        )


def fill(day, salon):
    """Thirty who come on that day, each with a unit to lay out."""
    cut_in = ServiceKindFactory(
        name="Cut-in", purpose="cut-in", needs_tape_test=True, needs_colour_test=True, deposit_minor=2500
    )
    morning = datetime.combine(day, time(9), ZoneInfo("Europe/London"))
    for number in range(ON_THE_DAY):
        appointment = AppointmentFactory(
            client=ClientFactory(record_consent=number % 2),
            kind=cut_in,
            stylist=salon.stylists[number % STAFF],
            place=salon.places[number % PLACES],
            starts_at=morning + number // STAFF * timedelta(hours=2),
        )
        UnitToTry.objects.create(
            appointment=appointment, unit=UnitFactory(), added_by=appointment.stylist, added_at=now()
        )


def seconds_for(client, address, status=200, **headers):
    spans = []
    for _ in range(TIMES + 1):
        begin = perf_counter()
        assert client.get(address, headers=headers).status_code == status
        spans.append(perf_counter() - begin)
    return median(spans[1:])  # the first one fills what a process keeps


def test_today_in_a_small_and_in_a_large_salon(client, queries_for, salon):
    day = now().date() + timedelta(days=1)
    client.force_login(salon.desk)
    found = {}
    for size in (FEW, MANY):
        begin = perf_counter()
        salon.grow_to(*size)
        if size is FEW:
            fill(day, salon)
        grown = perf_counter() - begin
        for page in (f"{reverse('today')}?day={day}&by=place", f"{reverse('week')}?day={day}"):
            found[page, size] = seconds_for(client, page), queries_for(page)
        board = f"{reverse('today-board')}?day={day}&by=place"
        stamp = client.get(board).context["board"].stamp
        swap = {"HX-Request": "true"}
        found["nothing new", size] = seconds_for(client, f"{board}&stamp={stamp}", status=204, **swap), 0
        print(f"\n{connection.vendor}: {size[0]:,} clients, {size[1]:,} appointments, made in {grown:.0f} s")
    for page in dict.fromkeys(page for page, _ in found):
        (few_s, few), (many_s, many) = found[page, FEW], found[page, MANY]
        print(f"{page}: {1000 * few_s:.1f} ms and {1000 * many_s:.1f} ms, {many_s / few_s:.2f} times; {few} queries")
        assert few == many
