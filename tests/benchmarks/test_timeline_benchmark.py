"""Does the line of a client with 2,000 entries take longer than that of one with 20? The queries must be as many."""

from datetime import timedelta
from statistics import median
from time import perf_counter

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.models import ConditionCheck, Fitting, Service, Wash, WearEntry
from tests.factories import OwnerFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
TIMES = 25
FEW, MANY = 20, 2_000


def with_entries(owner, count):
    """A client with one piece and so many entries, a quarter of each kind, a day apart."""
    hers = OwnedPieceFactory(begun_by=owner)
    visit = Fitting.objects.create(client=hers.client, stylist=owner, began_at=now())

    def each(kind):
        return [now() - timedelta(days=4 * number + kind) for number in range(count // 4)]

    Service.objects.bulk_create(
        Service(fitting=visit, owned_piece=hers, kind="heat", planned_by=owner, done_by=owner, done_at=at)
        for at in each(0)
    )
    ConditionCheck.objects.bulk_create(
        ConditionCheck(owned_piece=hers, checked_at=at, checked_by=owner, fibre=1) for at in each(1)
    )
    WearEntry.objects.bulk_create(
        WearEntry(owned_piece=hers, told_on=localdate(at), days_per_week=5, recorded_by=owner, recorded_at=at)
        for at in each(2)
    )
    Wash.objects.bulk_create(
        Wash(owned_piece=hers, washed_on=localdate(at), recorded_by=owner, recorded_at=at) for at in each(3)
    )
    return hers


def pages_of(hers):
    return {
        "her line": reverse("client", args=[hers.client.reference]),
        "the unit's": reverse("unit-line", args=[hers.unit.number]),
    }


def seconds_for(client, *addresses):
    """The median for each; asked in turn, so that whatever else the machine does slows all of them alike."""
    spans = {address: [] for address in addresses}
    for _ in range(TIMES + 1):
        for address in addresses:
            begin = perf_counter()
            assert client.get(address, headers={"HX-Request": "true"}).status_code == 200
            spans[address].append(perf_counter() - begin)
    return [median(taken[1:]) for taken in spans.values()]  # the first one fills what a process keeps


def test_a_line_of_twenty_entries_and_one_of_two_thousand(client, queries_for):
    owner = OwnerFactory()
    client.force_login(owner)
    short, long = pages_of(with_entries(owner, FEW)), pages_of(with_entries(owner, MANY))
    for name, address in short.items():
        empty, few, many = seconds_for(client, reverse("help"), address, long[name])
        asked, asked_of_many = queries_for(address), queries_for(long[name])
        print(
            f"\n{name}: {FEW} entries {1000 * few:.1f} ms ({few / empty:.1f} empty pages), {MANY} entries"
            f" {1000 * many:.1f} ms, {many / few:.2f} times; {asked} and {asked_of_many} queries"
        )
        assert asked == asked_of_many
