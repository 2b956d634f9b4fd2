"""How much longer does the client's page take than an empty page for somebody who has signed in?"""

from datetime import timedelta
from statistics import median
from time import perf_counter

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.registering import change_client
from tests.factories import OwnerFactory
from tests.fittings.factories import AppointmentFactory
from tests.fittings.visits import signed_off_visit

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
TIMES = 25


def seconds_for(client, address):
    spans = []
    for _ in range(TIMES + 1):
        begin = perf_counter()
        assert client.get(address).status_code == 200
        spans.append(perf_counter() - begin)
    return median(spans[1:])  # the first one fills what a process keeps


def test_her_page_against_an_empty_one(client, queries_for):
    owner, visit = OwnerFactory(), signed_off_visit()
    her, page = visit.client, reverse("client", args=[visit.client.reference])
    client.force_login(owner)
    empty = seconds_for(client, reverse("help"))
    short, few = seconds_for(client, page), queries_for(page)
    for number in range(300):
        starts_at = now() - timedelta(days=2 + number)
        AppointmentFactory(client=her, stylist=visit.stylist, starts_at=starts_at, state="done")
        change_client(client=her, by=owner, phone=f"07700 90{number:04d}")
    long, many = seconds_for(client, page), queries_for(page)
    print(
        f"\nempty page {1000 * empty:.1f} ms; her page {1000 * short:.1f} ms, {short / empty:.1f} times;"
        f" with 600 more rows on her line {1000 * long:.1f} ms, {long / empty:.1f} times; {few} and {many} queries"
    )
    assert few == many
