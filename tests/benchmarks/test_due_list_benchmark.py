"""Does the list of care that falls due take longer with 100,000 owned pieces and 500,000 dates than with 1,000 and
5,000? Beside it: learning a life from as many pieces, and working one piece's dates out."""

from datetime import timedelta
from statistics import median
from time import perf_counter

import pytest
from django.db import connection
from django.urls import reverse
from django.utils.timezone import localdate, now

from clients.models import Client
from fittings.caring import learn_life, work_out_care
from fittings.models import CareDate, OwnedPiece
from pieces.models import Unit
from tests.factories import DeskFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

FEW, MANY, TIMES = 1_000, 100_000, 7
KINDS = ["wash", "deep care", "check-up", "order", "replace"]
ENDED_EVERY = 5  # of the older pieces one in five wore out
PAGES = {"all": "", "one kind": "?kind=order", "the hundredth page or so": "?after={}~0"}


class Owners:
    """Clients with a piece each; the dates of each spread over a year, a month of it overdue."""

    def __init__(self):
        self.first = OwnedPieceFactory()
        self.count = 0

    def grow_to(self, count):
        batch, on = 5_000, localdate()
        for start in range(self.count, count, batch):
            numbers = range(start, min(start + batch, count))
            clients = Client.objects.bulk_create(self._client(number) for number in numbers)
            units = Unit.objects.bulk_create(
                Unit(number=f"U-{number:08d}", variant=self.first.unit.variant, state="with client", received_on=on)
                for number in numbers
            )
            pieces = OwnedPiece.objects.bulk_create(
                self._piece(number, client, unit, on)
                for number, client, unit in zip(numbers, clients, units, strict=True)
            )
            CareDate.objects.bulk_create(
                CareDate(
                    owned_piece=piece,
                    kind=kind,
                    due_on=on + timedelta(days=(number * 7 + 61 * place) % 365 - 30),
                    worked_out_on=on,
                )
                for number, piece in zip(numbers, pieces, strict=True)
                for place, kind in enumerate(KINDS)
                if piece.until is None
            )
        self.count = count
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("ANALYZE")  # which it does by itself, only later

    def _client(self, number):
        client = Client(
            reference=f"C-{number:08d}",
            given_name="Ada",
            family_name=f"Ashdown {number}",
            phone="07700 900123",
            created_by=self.first.client.created_by,
        )
        client.fold()
        return client

    def _piece(self, number, client, unit, on):
        since = on - timedelta(days=60 + number % 900)
        facts = {"client": client, "unit": unit, "since": since, "begun_by": self.first.begun_by, "begun_at": now()}
        if number % ENDED_EVERY == 0 and number % 7 == 0:
            until = since + timedelta(days=50 + number % 10)
            facts |= {"until": until, "ended": "worn out", "ended_by": self.first.begun_by, "ended_at": now()}
        return OwnedPiece(reference=f"O-{number:08d}", care_worked_out_at=now(), **facts)


def seconds(does):
    spans = []
    for _ in range(TIMES + 1):
        begin = perf_counter()
        does()
        spans.append(perf_counter() - begin)
    return median(spans[1:])  # the first one fills what a process keeps


def test_the_due_list_in_a_small_and_in_a_large_salon(client, queries_for):
    salon = Owners()
    client.force_login(DeskFactory())
    empty, found = reverse("help"), {}
    for size in (FEW, MANY):
        salon.grow_to(size)
        for name, query in PAGES.items():
            address = reverse("care-due") + query.format(localdate())
            rows = [row for week in client.get(address).context["page"].weeks for row in week.rows]
            assert len(rows) == 40
            found[name, size] = seconds(lambda at=address: client.get(at)), queries_for(address)
        found["an empty page", size] = seconds(lambda: client.get(empty)), queries_for(empty)
        found["learning a life", size] = seconds(lambda: learn_life(fibre="human", at=now())), 0
        found["one piece’s dates", size] = seconds(lambda: work_out_care(owned=salon.first, on=localdate())), 0
    print(f"\n{connection.vendor}: {FEW:,} and {MANY:,} pieces, {CareDate.objects.count():,} dates")
    beside = found["an empty page", MANY][0] / found["an empty page", FEW][0]
    for name in dict.fromkeys(name for name, _ in found):
        (few_s, few), (many_s, many) = found[name, FEW], found[name, MANY]
        print(
            f"{name}: {1000 * few_s:.1f} ms and {1000 * many_s:.1f} ms, {many_s / few_s:.2f} times"
            f" ({many_s / few_s / beside:.2f} beside an empty page); {few} and {many} queries"
        )
        assert few == many
