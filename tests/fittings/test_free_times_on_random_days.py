"""On small random days, everything that is offered can be booked, and nothing that could be is left out."""

from datetime import UTC, datetime, time, timedelta
from itertools import product
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fittings.free_times import Wish, free_times, nearest_free_times
from fittings.models import Appointment, Closure, OpeningHours, TimeOff, WorkingHours
from fittings.obstacles import obstacles_to
from salon.models import Salon
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
A_MINUTE, A_QUARTER = timedelta(minutes=1), timedelta(minutes=15)
SUNDAYS = [  # the small hours of an ordinary day and of days on which the clock is changed
    (ZoneInfo("Europe/London"), datetime(2026, 3, 22, 0, 0, tzinfo=UTC)),
    (ZoneInfo("Europe/London"), datetime(2026, 3, 29, 0, 0, tzinfo=UTC)),
    (ZoneInfo("Europe/London"), datetime(2026, 10, 24, 23, 0, tzinfo=UTC)),
    (ZoneInfo("Australia/Lord_Howe"), datetime(2026, 4, 4, 13, 0, tzinfo=UTC)),
    (ZoneInfo("Australia/Lord_Howe"), datetime(2026, 10, 3, 13, 30, tzinfo=UTC)),
]
spans = st.lists(st.tuples(st.integers(0, 70), st.integers(1, 20)), max_size=3)  # in steps of five minutes
visits = st.lists(
    st.tuples(st.integers(-12, 60), st.integers(0, 2), st.integers(0, 2), st.integers(0, 2), st.integers(0, 1)),
    max_size=8,
)


class Day:
    """A night salon with up to three stylists and places, and what a plain model knows of it, minute by minute."""

    def __init__(self, data):
        self.zone, self.midnight = data.draw(st.sampled_from(SUNDAYS), "day")
        Salon.objects.default()
        Salon.objects.update(time_zone=str(self.zone))
        minutes, clean_up = data.draw(st.tuples(st.sampled_from([20, 45, 60]), st.sampled_from([0, 10, 30])), "kind")
        self.kind = ServiceKindFactory(name="Wash", minutes=minutes, clean_up_minutes=clean_up, purpose="wash")
        self.short = ServiceKindFactory(name="Short", minutes=25, clean_up_minutes=20, purpose="other")
        self.people = [StylistFactory() for _ in range(data.draw(st.integers(1, 3), "stylists"))]
        self.places = [PlaceFactory(name=f"Chair {number}") for number in range(data.draw(st.integers(1, 3), "places"))]
        self.clients = [ClientFactory() for _ in range(3)]
        self.off = {person: [] for person in self.people}
        self.taken_place = {place: [] for place in self.places}
        self.taken_client = {client: [] for client in self.clients}
        self.hours = [(0, 0), (5, 0)]
        OpeningHours.objects.create(weekday=7, opens=time(0), closes=time(5))
        if data.draw(st.booleans(), "short day"):
            self.hours = [(0, 30), (4, 15)]
            on = self.midnight.astimezone(self.zone).date()
            Closure.objects.create(first_day=on, last_day=on, because="works", opens=time(0, 30), closes=time(4, 15))
        self.breaks = {}
        for person in self.people:
            self._when(person, data)
        for visit in data.draw(visits, "visits"):
            self._book(*visit)

    def _when(self, person, data):
        if data.draw(st.booleans(), "break"):
            self.breaks[person] = (time(3), time(3, 20))
            WorkingHours.objects.create(
                stylist=person, weekday=7, begins=time(0), ends=time(23), break_begins=time(3), break_ends=time(3, 20)
            )
        for begins, lasts in data.draw(spans, "time off"):
            off = (self.midnight + 5 * begins * A_MINUTE, self.midnight + 5 * (begins + lasts) * A_MINUTE)
            TimeOff.objects.create(stylist=person, starts_at=off[0], ends_at=off[1])
            self.off[person].append(off)

    def _book(self, begins, who, where, whose, kind):
        """Take the time unless the model knows that it is taken."""
        stylist, place = self.people[who % len(self.people)], self.places[where % len(self.places)]
        client, kind = self.clients[whose], (self.kind, self.short)[kind]
        starts_at = self.midnight + 5 * begins * A_MINUTE
        ends_at = starts_at + kind.minutes * A_MINUTE
        free_at = ends_at + kind.clean_up_minutes * A_MINUTE
        visit = (starts_at, ends_at)
        if not (meets(visit, self.off[stylist]) or meets(visit, self.taken_client[client])) and not meets(
            (starts_at, free_at), self.taken_place[place]
        ):
            AppointmentFactory(
                kind=kind, stylist=stylist, place=place, client=client, starts_at=starts_at, booked_by=stylist
            )
            self.off[stylist].append(visit)
            self.taken_client[client].append(visit)
            self.taken_place[place].append((starts_at, free_at))

    def could_be(self, starts_at, stylist, place, client):
        """By the model: whether each of the visit's minutes is free on the clock and in the book."""
        ends_at = starts_at + self.kind.minutes * A_MINUTE
        until = ends_at + self.kind.clean_up_minutes * A_MINUTE
        if meets((starts_at, until), self.taken_place[place]) or meets((starts_at, ends_at), self.off[stylist]):
            return False
        if client and meets((starts_at, ends_at), self.taken_client[client]):
            return False
        day = self.midnight.astimezone(self.zone).date()
        for number in range(self.kind.minutes):
            local = (starts_at + number * A_MINUTE).astimezone(self.zone)
            if local.date() != day or not time(*self.hours[0]) <= local.time() < time(*self.hours[1]):
                return False
            pause = self.breaks.get(stylist)
            if pause and pause[0] <= local.time() < pause[1]:
                return False
        return True

    def expected(self, client):
        found = []
        for number in range(-8, 32):
            starts_at = self.midnight + number * A_QUARTER  # offsets are whole quarter hours in these zones
            for stylist in sorted(self.people, key=lambda one: (one.first_name, one.username)):
                where = [place for place in self.places if self.could_be(starts_at, stylist, place, client)]
                found += [(starts_at, stylist, where[0])] if where else []
        return found


def meets(span, others):
    return any(span[0] < ends and begins < span[1] for begins, ends in others)


def on_a_day_that_is_thrown_away(check):
    """Each example gets a database without the days of the others."""

    @given(st.data())
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
    def run(data):
        with transaction.atomic():
            check(Day(data), data)
            transaction.set_rollback(True)

    return run


def found_on(day, client=None):
    since = day.midnight - timedelta(days=1)
    wish = Wish(weekdays=frozenset({7}))
    return free_times(kind=day.kind, since=since, days=4, client=client, wish=wish)


@on_a_day_that_is_thrown_away
def test_what_is_offered_is_what_a_model_finds_minute_by_minute(day, data):
    client = data.draw(st.sampled_from([None, *day.clients]), "client")
    offered = [(free.starts_at, free.stylist, free.place) for free in found_on(day, client)]
    assert offered == day.expected(client)


@on_a_day_that_is_thrown_away
def test_nothing_stands_in_the_way_of_what_is_offered_and_something_does_of_all_else(day, data):
    client = data.draw(st.sampled_from(day.clients), "client")
    offered = {(free.starts_at, free.stylist) for free in found_on(day, client)}
    some = data.draw(st.sets(st.integers(-2, 24), min_size=3, max_size=3), "quarter hours")
    for number, stylist in product(sorted(some), day.people):
        starts_at = day.midnight + number * A_QUARTER
        ways = [appointment_at(day, client, starts_at, stylist, place) for place in day.places]
        free = any(not obstacles_to(way, at=day.midnight - timedelta(days=2)) for way in ways)
        assert free == ((starts_at, stylist) in offered), starts_at


@on_a_day_that_is_thrown_away
def test_whatever_is_offered_the_database_takes(day, data):
    client = data.draw(st.sampled_from(day.clients), "client")
    for free in found_on(day, client):
        with transaction.atomic():
            appointment = appointment_at(day, client, free.starts_at, free.stylist, free.place)
            appointment.full_clean()
            appointment.save()
            transaction.set_rollback(True)


@on_a_day_that_is_thrown_away
def test_the_nearest_are_the_nearest_of_all(day, data):
    client = data.draw(st.sampled_from(day.clients), "client")
    to = day.midnight + 5 * data.draw(st.integers(-10, 70), "to") * A_MINUTE
    at = to - 5 * data.draw(st.integers(-6, 30), "before") * A_MINUTE
    how = {"kind": day.kind, "client": client, "wish": Wish(weekdays=frozenset({7}))}
    moments = sorted({free.starts_at for free in free_times(since=max(at, to - timedelta(days=30)), days=61, **how)})
    nearest = sorted(sorted(moments, key=lambda moment: abs(moment - to))[:3])
    assert [free.starts_at for free in nearest_free_times(to=to, at=at, **how)] == nearest


def appointment_at(day, client, starts_at, stylist, place):
    ends_at = starts_at + day.kind.minutes * A_MINUTE
    return Appointment(
        client=client,
        kind=day.kind,
        stylist=stylist,
        place=place,
        starts_at=starts_at,
        ends_at=ends_at,
        place_free_at=ends_at + day.kind.clean_up_minutes * A_MINUTE,
        booked_by=stylist,
    )
