"""Whatever several people book, move, cancel, mark and close: nothing overlaps, and the desk and a naive model of it
say yes and no to the same, for the same reasons."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given
from hypothesis import settings as property_tests
from hypothesis import strategies as st

from fittings.booking import (
    BookingRefused,
    book_appointment,
    cancel_appointment,
    mark_arrived,
    mark_done,
    mark_missed,
    move_appointment,
)
from fittings.models import Appointment, Closure, OpeningHours, TimeOff, WorkingHours
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory
from tests.fittings.naive_desk import Kind, NaiveDesk, Visit, minute

LONDON = ZoneInfo("Europe/London")
# a plain Monday; the Saturdays before the clock is put forward and back (tzdata 2026, computed)
FIRST_DAYS = [date(2026, 6, 1), date(2026, 3, 28), date(2026, 10, 24)]
pytestmark = [pytest.mark.slow, pytest.mark.django_db]


@pytest.fixture
def people():
    """Few enough of each that they get in each other's way."""
    stylists = StylistFactory.create_batch(3)
    wash = ServiceKindFactory(name="Wash", minutes=30, clean_up_minutes=15, in_private_room=False)
    wash.done_by.add(*stylists[:2])
    return {
        "client": ClientFactory.create_batch(4),
        "stylist": stylists,
        "place": [PlaceFactory(sort="room"), PlaceFactory(), PlaceFactory(sort="basin")],
        "kind": [
            ServiceKindFactory(name="Consult", minutes=45, clean_up_minutes=30),
            ServiceKindFactory(name="Check-up", minutes=30, clean_up_minutes=0),
            wash,
        ],
        "by": [DeskFactory(), DeskFactory(), stylists[1]],
    }


some = st.integers(0, 11)  # whose remainder chooses one of two, three or four
slots = st.one_of(st.integers(36, 50), st.integers(36, 50), st.integers(0, 200))  # quarter hours: mostly one morning
reasons = st.sampled_from(["", "She travels far"])
DEEDS = {
    "book": st.tuples(some, some, some, some, slots, reasons),
    "move": st.tuples(some, some, some, slots, reasons),
    "cancel": st.tuples(some),
    "miss": st.tuples(some),
    "arrive": st.tuples(some),
    "finish": st.tuples(some, st.integers(0, 60)),
    "closure": st.tuples(st.integers(0, 2), st.booleans()),
    "hours": st.tuples(st.integers(7, 11), st.integers(12, 19)),
    "week": st.tuples(some, st.integers(8, 10), st.integers(14, 18), st.booleans()),
    "away": st.tuples(some, slots, st.integers(1, 12)),
}
OFTEN = {"book": 9, "move": 5, "cancel": 2, "finish": 2}  # the others once
names = st.sampled_from([name for name in DEEDS for _ in range(OFTEN.get(name, 1))])
deeds = names.flatmap(lambda name: st.tuples(st.just(name), DEEDS[name]))


@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])  # each example takes itself back
@given(first_day=st.sampled_from(FIRST_DAYS), sequence=st.lists(deeds, min_size=8, max_size=20))
def test_nothing_overlaps_and_every_yes_and_no_is_right(people, first_day, sequence):
    with transaction.atomic():
        desk = _BothDesks(people, first_day)
        for name, arguments in sequence:
            getattr(desk, name)(*arguments)
        desk.agree()
        transaction.set_rollback(True)


def _outcome(deed):
    try:
        return None, deed()
    except BookingRefused as refusal:
        return refusal, None


class _BothDesks:
    """Does each deed at the desk and in the model, and compares."""

    def __init__(self, people, first_day):
        self.people = people
        self.midnight = datetime.combine(first_day, time.min, tzinfo=LONDON).astimezone(UTC)
        self.first_day = first_day
        self.now = self.midnight - timedelta(hours=9)
        self.rows = []
        self.turn = 0
        self.model = NaiveDesk(
            zone=LONDON,
            kinds={
                kind: Kind(kind.minutes, kind.clean_up_minutes, set(kind.place_sorts), set(kind.done_by.all()))
                for kind in people["kind"]
            },
            sorts={place: place.sort for place in people["place"]},
            now=minute(self.now),
        )

    def slot(self, quarter):
        """By the salon's clock, as the pages tell it."""
        return (self.midnight + timedelta(minutes=15 * quarter)).astimezone(LONDON)

    def one(self, what, number):
        return self.people[what][number % len(self.people[what])]

    def by(self):
        """Several people take turns at the desk."""
        self.turn += 1
        return self.one("by", self.turn)

    # deeds that may be refused

    def book(self, client, kind, stylist, place, quarter, because):
        wanted = {"client": self.one("client", client), "kind": self.one("kind", kind)}
        wanted |= {"stylist": self.one("stylist", stylist), "place": self.one("place", place)}
        visit = self.model.span(Visit(**wanted, begins=minute(self.slot(quarter))))

        def deed():
            row = book_appointment(
                **wanted, starts_at=self.slot(quarter), by=self.by(), at=self.now, anyway_because=because
            )
            self.rows.append(row)
            return row

        self.compare(deed, visit, because)

    def move(self, number, stylist, place, quarter, because):
        if not self.rows:
            return
        row = self.rows[number % len(self.rows)]
        was = self.model.visits[row.pk]
        wanted = {"stylist": self.one("stylist", stylist), "place": self.one("place", place)}
        if was.state != "booked":
            return
        begins = minute(self.slot(quarter))
        if (was.begins, was.stylist, was.place) == (begins, *wanted.values()):
            return
        visit = self.model.span(Visit(client=was.client, kind=was.kind, begins=begins, **wanted))
        new = wanted | {"starts_at": self.slot(quarter), "by": self.by(), "at": self.now, "anyway_because": because}
        self.compare(lambda: move_appointment(appointment=row, **new), visit, because, moved=row.pk)

    def compare(self, deed, visit, because, moved=None):
        expected = self.model.against(visit, but=moved)
        passable = not expected & {"client", "stylist", "place", "past"}
        refusal, row = _outcome(deed)
        if refusal:
            assert {obstacle.code for obstacle in refusal.obstacles} == expected
            assert refusal.may_pass == passable
            assert not (passable and because)
            for free in refusal.nearest:
                other = Visit(visit.client, visit.kind, free.stylist, free.place, minute(free.starts_at))
                assert self.model.against(self.model.span(other), but=moved) == set(), "offered, and not free"
        else:
            assert expected == set() or (passable and because), f"accepted in spite of {expected}"
            assert {one["code"] for one in row.changes.last().passed} == expected
            self.model.put(row.pk, visit)
        assert self.model.overlaps() == []

    # deeds after which time may be free

    def chosen(self, number, *states):
        """The appointment of that number, when it is in one of the states from which the deed may go on."""
        if not self.rows:
            return None
        row = self.rows[number % len(self.rows)]
        return row if self.model.visits[row.pk].state in states else None

    def cancel(self, number):
        if row := self.chosen(number, "booked", "arrived"):
            cancel_appointment(appointment=row, by=self.by(), because="She rang", at=self.now)
            self.model.close(row.pk, "cancelled")

    def miss(self, number):
        if row := self.chosen(number, "booked"):
            begins = Appointment.objects.get(pk=row.pk).starts_at
            mark_missed(appointment=row, by=self.by(), at=begins + timedelta(minutes=20))
            self.model.close(row.pk, "missed")

    def arrive(self, number):
        if row := self.chosen(number, "booked"):
            mark_arrived(appointment=row, by=self.by(), at=self.now)
            self.model.visits[row.pk].state = "arrived"

    def finish(self, number, minutes):
        if row := self.chosen(number, "booked", "arrived"):
            begins = Appointment.objects.get(pk=row.pk).starts_at
            mark_done(appointment=row, by=self.by(), at=begins + timedelta(minutes=minutes, seconds=40))
            self.model.done(row.pk, minute(begins) + minutes)

    # what the owner writes down meanwhile; what is booked already stays

    def closure(self, days, is_short):
        day = self.first_day + timedelta(days=days)
        opens, closes = (time(10), time(12, 30)) if is_short else (None, None)
        Closure.objects.create(first_day=day, last_day=day, because="Painters", opens=opens, closes=closes)
        self.model.closures.append((day, day, opens, closes))

    def hours(self, opens, closes):
        OpeningHours.objects.all().delete()
        self.model.opening = {weekday: (time(opens), time(closes)) for weekday in range(1, 7)}  # never on Sundays
        for weekday, (first, last) in self.model.opening.items():
            OpeningHours.objects.create(weekday=weekday, opens=first, closes=last)

    def week(self, number, begins, ends, with_break):
        stylist = self.one("stylist", number)
        WorkingHours.objects.filter(stylist=stylist).delete()
        rest = (time(11, 30), time(12)) if with_break else (None, None)
        self.model.working[stylist] = {weekday: (time(begins), time(ends), *rest) for weekday in (1, 3, 6, 7)}
        for weekday, (first, last, pause, on) in self.model.working[stylist].items():
            row = {"begins": first, "ends": last, "break_begins": pause, "break_ends": on}
            WorkingHours.objects.create(stylist=stylist, weekday=weekday, **row)

    def away(self, number, quarter, quarters):
        stylist, starts_at, ends_at = self.one("stylist", number), self.slot(quarter), self.slot(quarter + quarters)
        TimeOff.objects.create(stylist=stylist, starts_at=starts_at, ends_at=ends_at, because="Dentist")
        self.model.away.append((stylist, set(range(minute(starts_at), minute(ends_at)))))

    def agree(self):
        """In the end both have the same visits at the same minutes."""
        kept = {
            row.pk: (minute(row.starts_at), minute(row.ends_at), minute(row.place_free_at), row.state)
            for row in Appointment.objects.all()
        }
        assert kept == {key: (v.begins, v.ends, v.place_free, v.state) for key, v in self.model.visits.items()}
