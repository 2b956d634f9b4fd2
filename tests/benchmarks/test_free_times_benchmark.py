"""How long does it take to find the free times of 60 days for ten stylists, and does it grow with the years kept?

The reference is the same search in an empty book. The 60 days ahead hold the same thousand visits when there are a
hundred thousand in the book; a full book, with eight visits a day for each stylist, is printed apart. On whichever
database is set; prints ratios, asserts the queries alone.
"""

from datetime import UTC, datetime, time, timedelta
from itertools import count
from time import perf_counter

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Client
from fittings.free_times import Wish, free_times, nearest_free_times
from fittings.models import Appointment, OpeningHours, WorkingHours
from salon.models import Salon
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
MONDAY = datetime(2026, 3, 2, 0, 0, tzinfo=UTC)
FEW, MANY, TIMES = 1_000, 100_000, 21
A_DAY, BATCH = 8, 5_000  # visits of a stylist in a full day, an hour each


class Book:
    """Ten stylists at ten chairs; visit after visit is written in, day by day, either way from a Monday."""

    def __init__(self):
        Salon.objects.default()
        for weekday in range(1, 7):
            OpeningHours.objects.create(weekday=weekday, opens=time(9), closes=time(18))
        self.people, self.chairs = StylistFactory.create_batch(10), PlaceFactory.create_batch(10)
        for stylist in self.people:
            for weekday in range(1, 6):
                WorkingHours.objects.create(
                    stylist=stylist, weekday=weekday, begins=time(9), ends=time(18), break_begins=time(13),
                    break_ends=time(13, 30),
                )  # fmt: skip
        self.kind = ServiceKindFactory(minutes=45, clean_up_minutes=15)
        by = ClientFactory().created_by
        self.number = count()
        self.clients = [ClientFactory(by=by) for _ in range(10)]

    def write(self, visits, hours, days):
        """So many visits, at these hours of these days."""
        missing, batch = visits, []
        for day in days:
            for hour in hours:
                for stylist, chair, client in zip(self.people, self.chairs, self.clients, strict=True):
                    if missing == 0:
                        break
                    starts_at = MONDAY + timedelta(days=day, hours=hour)
                    ends_at = starts_at + timedelta(minutes=45)
                    batch.append(
                        Appointment(
                            reference=f"B-{next(self.number):08d}",  # at random, two of so many would be the same
                            client=client, kind=self.kind, stylist=stylist, place=chair, booked_by=stylist,
                            starts_at=starts_at, ends_at=ends_at, place_free_at=ends_at + timedelta(minutes=15),
                        )
                    )  # fmt: skip
                    missing -= 1
        Appointment.objects.bulk_create(batch, batch_size=BATCH)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")  # as both databases do by themselves after a while


def seconds_for(search):
    spans = []
    for _ in range(TIMES):
        begin = perf_counter()
        search()
        spans.append(perf_counter() - begin)
    return min(spans)  # whatever else the machine does only makes it longer


def test_sixty_days_for_ten_stylists(capsys):
    book = Book()
    how = {"kind": book.kind, "since": MONDAY}
    searches = {
        "all of 60 days, ten stylists": lambda: free_times(**how),
        "all of 60 days, one of them": lambda: free_times(**how, wish=Wish(stylist=book.people[3])),
        "as soon as possible, three": lambda: free_times(**how, at_most=3),
        "the three nearest": lambda: nearest_free_times(kind=book.kind, to=MONDAY + timedelta(days=30), at=MONDAY),
    }

    def measured():
        found = {}
        for what, search in searches.items():
            with CaptureQueriesContext(connection) as queries:
                times = len(search())
            found[what] = (seconds_for(search), len(queries), times)
        return found

    empty = measured()
    book.write(FEW, hours=(9, 11), days=range(60))
    few = measured()
    book.write(MANY - FEW, hours=range(9, 9 + A_DAY), days=range(-1, -5_000, -1))
    many = measured()
    book.write(10 * (A_DAY - 2) * 60 + 200, hours=(10, *range(12, 17)), days=range(60))
    full = measured()
    reference = empty["all of 60 days, ten stylists"][0]
    with capsys.disabled():
        print(f"\n{connection.vendor}: 60 days in an empty book take {1000 * reference:.0f} ms; times of that:")
        for what in searches:
            of_empty, of_few, of_many, of_full = (measure[what][0] / reference for measure in (empty, few, many, full))
            print(
                f"  {what:30} empty {of_empty:5.2f}, {FEW:,} visits {of_few:5.2f}, {MANY:,} visits {of_many:5.2f}"
                f" ({of_many / of_few:.2f} times as long), full {of_full:5.2f};"
                f" {many[what][2]:,} found, {many[what][1]} queries"
            )
    assert Client.objects.count() == 11
    for what in searches:
        assert empty[what][1] == few[what][1] == many[what][1] == full[what][1] == 8
        assert few[what][2] == many[what][2]
