"""Does the day's page, equally full, take longer in a salon with 100,000 clients and 500,000 appointments than in one
with 1,000 and 5,000? And what does a refresh cost when nothing is new?"""

from datetime import UTC, datetime, time, timedelta
from itertools import product
from statistics import median
from time import perf_counter
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.urls import reverse
from django.utils.timezone import now

from clients.models import Client, Consent, SkinTest
from fittings.models import Appointment, AwaitedPiece, UnitToTry
from tests.benchmarks.copied_rows import analyse, copy
from tests.factories import ClientFactory, DeskFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory
from tests.pieces.factories import UnitFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

TIMES = 25
FEW, MANY = (1_000, 5_000), (100_000, 500_000)  # clients, appointments
STAFF, PLACES, VISITS_A_DAY = 10, 10, 20
ON_THE_DAY = 30


class Past:
    """A salon in which ten stylists at ten places have seen two hundred clients a day, for as long as it takes."""

    def __init__(self):
        self.desk, self.days, self.clients = DeskFactory(), 0, 1
        stylists, places = StylistFactory.create_batch(STAFF), PlaceFactory.create_batch(PLACES)
        self.pairs = list(zip(stylists, places, strict=True))
        self.client = ClientFactory(record_consent=True)
        self.consent = Consent.objects.get()
        self.skin_test = SkinTestFactory(client=self.client)
        self.awaited = AwaitedPiece.objects.create(
            client=self.client, what="A piece", noted_by=self.desk, noted_at=now()
        )

    def grow_to(self, clients, appointments):
        """A tenth of the clients has had a skin test, and as many wait for a piece."""
        new = range(self.clients, clients)
        names = {"reference": "'C-' || n", "family_name": "'Ashdown ' || n", "family_folded": "'ashdown ' || n"}
        copy(Client, new, f"id = {self.client.pk}", **names, phone_backwards="CAST(n AS TEXT)")
        hers = "(SELECT id FROM clients_client WHERE reference = 'C-' || {})"
        copy(Consent, new, f"id = {self.consent.pk}", client_id=hers.format("n"))
        tenth = range(new.start // 10 + 1, new.stop // 10)
        copy(SkinTest, tenth, f"id = {self.skin_test.pk}", client_id=hers.format("(10 * n)"))
        copy(AwaitedPiece, tenth, f"id = {self.awaited.pk}", client_id=hers.format("(10 * n + 5)"))
        self.clients = clients
        if not self.days:
            self._first_day()
        self._days_before(appointments // (STAFF * VISITS_A_DAY), hers)
        analyse()

    def _first_day(self):
        kind = ServiceKindFactory(name="Check-up", purpose="check-up", minutes=30, clean_up_minutes=0)
        morning = datetime.combine(now().date() - timedelta(days=7), time(7), UTC)
        ids = Client.objects.order_by("pk").values_list("pk", flat=True)
        for client, (number, (stylist, place)) in zip(ids, product(range(VISITS_A_DAY), self.pairs), strict=False):
            starts_at = morning + number * timedelta(minutes=30)
            where = {"stylist": stylist, "place": place, "starts_at": starts_at}
            AppointmentFactory(client_id=client, client=None, kind=kind, state="done", **where)
        self.days = 1
        self.first, self.last = Appointment.objects.earliest("pk").pk, Appointment.objects.latest("pk").pk

    def _days_before(self, days, hers):
        """The first day over and over, by other clients."""
        earlier, uid = "{0} - n * INTERVAL '1 day'", "gen_random_uuid()"
        if connection.vendor == "sqlite":
            earlier, uid = "datetime({0}, '-' || n || ' days')", "lower(hex(randomblob(16)))"
        moments = {column: earlier.format(column) for column in ("starts_at", "ends_at", "place_free_at")}
        whose = f"(1 + (n * {STAFF * VISITS_A_DAY} + fittings_appointment.id) % ({self.clients} - 1))"
        copy(
            Appointment,
            range(self.days, days),
            f"id BETWEEN {self.first} AND {self.last}",
            **moments,
            reference="'B-' || id || '-' || n",
            calendar_uid=uid,
            client_id=hers.format(whose),
        )
        self.days = days


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
            stylist=salon.pairs[number % STAFF][0],
            place=salon.pairs[number % STAFF][1],
            starts_at=morning + number // STAFF * timedelta(hours=2),
        )
        UnitToTry.objects.create(
            appointment=appointment, unit=UnitFactory(), added_by=appointment.stylist, added_at=now()
        )


def seconds_for(client, address, status=200, **headers):
    """(median of the page, median of an empty page asked for in turn with it: how busy the machine is just now)."""
    spans = {address: [], reverse("help"): []}
    for _ in range(TIMES + 1):
        for one, taken in spans.items():
            begin = perf_counter()
            found = client.get(one, headers=headers if one == address else None)
            taken.append(perf_counter() - begin)
            assert found.status_code == (status if one == address else 200)
    return tuple(median(taken[1:]) for taken in spans.values())  # the first one fills what a process keeps


def test_today_in_a_small_and_in_a_large_salon(client, queries_for):
    salon = Past()
    day = now().date() + timedelta(days=1)
    client.force_login(salon.desk)
    found = {}
    for size in (FEW, MANY):
        begin = perf_counter()
        salon.grow_to(*size)
        if size is FEW:
            fill(day, salon)
        grown = perf_counter() - begin
        assert Appointment.objects.count() == size[1] + ON_THE_DAY
        for page in (f"{reverse('today')}?day={day}&by=place", f"{reverse('week')}?day={day}"):
            found[page, size] = *seconds_for(client, page), queries_for(page)
        board = f"{reverse('today-board')}?day={day}&by=place"
        stamp = client.get(board).context["board"].stamp
        nothing_new = seconds_for(client, f"{board}&stamp={stamp}", status=204, **{"HX-Request": "true"})
        found["nothing new", size] = *nothing_new, queries_for(board)
        print(f"\n{connection.vendor}: {size[0]:,} clients, {size[1]:,} appointments, made in {grown:.0f} s")
    for page in dict.fromkeys(page for page, _ in found):
        (few_s, empty_then, few), (many_s, empty_now, many) = found[page, FEW], found[page, MANY]
        times = many_s / few_s
        print(
            f"{page}: {1000 * few_s:.1f} ms and {1000 * many_s:.1f} ms, {times:.2f} times, while an empty page took"
            f" {empty_now / empty_then:.2f} times as long ({times * empty_then / empty_now:.2f} beside it);"
            f" {few} and {many} queries"
        )
        assert few == many
