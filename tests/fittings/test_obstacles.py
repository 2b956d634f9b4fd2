"""What stands in the way of an appointment: which reasons, in which words, and which of them a reason goes past."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fittings.models import Appointment, Closure, OpeningHours, TimeOff, WorkingHours
from fittings.obstacles import obstacles_to
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

NOW = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)
TUESDAY_TEN = datetime(2026, 12, 8, 10, 0, tzinfo=UTC)  # London is on UTC in winter
pytestmark = pytest.mark.django_db


@pytest.fixture
def wanted():
    """An appointment that nothing stands in the way of; a test puts something there."""
    kind = ServiceKindFactory(name="Fitting", minutes=60, clean_up_minutes=15)
    return AppointmentFactory.build(
        client=ClientFactory(),
        kind=kind,
        stylist=StylistFactory(first_name="Imke", last_name="Underhay"),
        place=PlaceFactory(name="Chair by the door"),
        starts_at=TUESDAY_TEN,
    )


def at_(wanted, starts_at):
    wanted.starts_at = starts_at
    wanted.ends_at = starts_at + timedelta(minutes=60)
    wanted.place_free_at = wanted.ends_at + timedelta(minutes=15)
    return wanted


def the_one(wanted, **more):
    """The only obstacle there is."""
    obstacles = obstacles_to(wanted, at=NOW, **more)
    assert len(obstacles) == 1, obstacles
    return obstacles[0]


def opens(*weekdays, opens=time(9), closes=time(17, 30)):
    for weekday in weekdays:
        OpeningHours.objects.create(weekday=weekday, opens=opens, closes=closes)


def works(stylist, *weekdays, **more):
    hours = {"begins": time(9), "ends": time(16)} | more
    for weekday in weekdays:
        WorkingHours.objects.create(stylist=stylist, weekday=weekday, **hours)


def test_nothing_stands_in_the_way_of_a_free_time(wanted):
    opens(2)
    works(wanted.stylist, 2)
    assert obstacles_to(wanted, at=NOW) == []


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        (date(2026, 12, 24), date(2026, 12, 26), "Closed from 24 to 26 December: Christmas."),
        (date(2026, 12, 24), date(2026, 12, 24), "Closed on 24 December: Christmas."),
        (date(2026, 12, 24), date(2027, 1, 2), "Closed from 24 December to 2 January: Christmas."),
    ],
)
def test_a_closed_day_says_which_days_and_why(wanted, first, last, says):
    Closure.objects.create(first_day=first, last_day=last, because="Christmas")
    obstacle = the_one(at_(wanted, datetime(2026, 12, 24, 10, 0, tzinfo=UTC)))
    assert (obstacle.code, obstacle.says, obstacle.may_pass) == ("closed", says, True)


def test_a_weekday_without_hours_is_closed(wanted):
    opens(1, 3, 4)
    assert (the_one(wanted).code, the_one(wanted).says) == ("closed", "Closed on Tuesdays.")


@pytest.mark.parametrize("starts_at", [TUESDAY_TEN.replace(hour=8, minute=45), TUESDAY_TEN.replace(hour=16, minute=45)])
def test_outside_hours_says_those_of_that_day(wanted, starts_at):
    opens(2)
    obstacle = the_one(at_(wanted, starts_at))
    assert obstacle.code == "outside hours"
    assert obstacle.says == "Open from 09:00 to 17:30 on Tuesdays."
    assert obstacle.may_pass


def test_the_first_and_the_last_moment_of_the_day_are_within_it_and_the_clean_up_may_outlast_it(wanted):
    opens(2)
    for starts_at in (TUESDAY_TEN.replace(hour=9), TUESDAY_TEN.replace(hour=16, minute=30)):
        assert obstacles_to(at_(wanted, starts_at), at=NOW) == []


def test_a_short_day_says_its_hours_and_why(wanted):
    eve = date(2026, 12, 24)
    Closure.objects.create(first_day=eve, last_day=eve, because="Christmas Eve", opens=time(10), closes=time(14))
    obstacle = the_one(at_(wanted, datetime(2026, 12, 24, 13, 30, tzinfo=UTC)))
    assert (obstacle.code, obstacle.says) == (
        "outside hours",
        "Open from 10:00 to 14:00 on 24 December: Christmas Eve.",
    )
    assert obstacles_to(at_(wanted, datetime(2026, 12, 24, 13, 0, tzinfo=UTC)), at=NOW) == []


def test_a_visit_into_a_closed_day_is_told_of_that_day(wanted):
    Closure.objects.create(first_day=date(2026, 12, 9), last_day=date(2026, 12, 9), because="Painters")
    assert the_one(at_(wanted, TUESDAY_TEN.replace(hour=23, minute=30))).says == "Closed on 9 December: Painters."
    assert obstacles_to(at_(wanted, TUESDAY_TEN.replace(hour=23, minute=0)), at=NOW) == []  # over at midnight


def test_a_stylists_free_day_her_hours_and_her_break(wanted):
    works(wanted.stylist, 1)
    assert (the_one(wanted).code, the_one(wanted).says) == ("not working", "Imke Underhay does not work on Tuesdays.")
    works(wanted.stylist, 2, break_begins=time(12), break_ends=time(12, 30))
    late = the_one(at_(wanted, TUESDAY_TEN.replace(hour=15, minute=15)))
    assert (late.code, late.says) == ("not working", "Imke Underhay works from 09:00 to 16:00 on Tuesdays.")
    pause = the_one(at_(wanted, TUESDAY_TEN.replace(hour=11, minute=15)))
    assert (pause.code, pause.says) == ("break", "Imke Underhay has a break from 12:00 to 12:30.")
    assert obstacles_to(at_(wanted, TUESDAY_TEN.replace(hour=11)), at=NOW) == []
    assert obstacles_to(at_(wanted, TUESDAY_TEN.replace(hour=12, minute=30)), at=NOW) == []


def test_time_off_says_until_when_and_keeps_the_reason_to_itself(wanted):
    until = TUESDAY_TEN + timedelta(days=2, hours=3)
    TimeOff.objects.create(
        stylist=wanted.stylist, starts_at=TUESDAY_TEN - timedelta(days=1), ends_at=until, because="Operation"
    )
    obstacle = the_one(wanted)
    assert (obstacle.code, obstacle.says) == ("time off", "Imke Underhay is away until Thursday 10 December, 13:00.")
    assert obstacles_to(at_(wanted, until), at=NOW) == []


def test_who_does_it_and_where_it_is_held(wanted):
    wanted.kind.done_by.add(StylistFactory(first_name="Berit", last_name="Holm"))
    obstacle = the_one(wanted)
    assert (obstacle.code, obstacle.about, obstacle.may_pass) == ("not done by", "stylist", True)
    assert obstacle.says == "Fitting is not done by Imke Underhay, but by Berit Holm."
    wanted.kind.done_by.clear()
    wanted.kind.at_chair = wanted.kind.at_basin = False
    obstacle = the_one(wanted)
    assert (obstacle.code, obstacle.about, obstacle.may_pass) == ("wrong place", "place", True)
    assert obstacle.says == "Fitting is held at a place of the sort “private room”; Chair by the door is a chair."


def test_what_can_not_be_booked_at_all(wanted):
    kept = ClientFactory(given_name="Ada", family_name="Ashdown")
    wanted.client.merged_into = kept
    wanted.kind.is_offered = False
    wanted.place.is_in_use = False
    wanted.stylist = DeskFactory(first_name="Wilma", last_name="Gray")
    found = {obstacle.code: obstacle for obstacle in obstacles_to(wanted, at=NOW)}
    assert list(found) == ["record", "not offered", "not in use", "not a stylist"]
    assert not any(obstacle.may_pass for obstacle in found.values())
    assert found["record"].says == f"This record has gone into {kept.reference} (Ada Ashdown); book it there."
    assert found["not offered"].says == "Fitting can't be booked any more; choose another kind of visit."
    assert found["not in use"].says == "Chair by the door can't be booked now; choose another place."
    assert found["not a stylist"].says == "Wilma Gray may not hold visits; choose somebody who may."
    wanted.client.merged_into, wanted.client.erased_at = None, NOW
    assert obstacles_to(wanted, at=NOW)[0].says == "This record has been erased; nothing can be booked for it."


def test_somebody_who_has_left_may_not_hold_visits(wanted):
    wanted.stylist.is_active = False
    wanted.stylist.save()
    assert the_one(wanted).code == "not a stylist"


@pytest.mark.parametrize(
    ("starts_at", "says"),
    [
        (NOW - timedelta(minutes=16), "Tuesday 1 December, 07:44 is over; choose a time to come."),
        (datetime(206, 12, 8, 10, 0, tzinfo=UTC), "That is more than a year ago; write the year again."),
        (datetime(1, 1, 1, 0, 0, tzinfo=ZoneInfo("Asia/Tokyo")), "That is more than a year ago; write the year again."),
        (NOW + timedelta(days=733), "That is more than two years ahead; choose a nearer day."),
        (datetime(9999, 12, 31, 23, 0, tzinfo=UTC), "That is more than two years ahead; choose a nearer day."),
    ],
)
def test_the_past_and_the_far_future_are_out_of_reach(wanted, starts_at, says):
    wanted.starts_at = starts_at
    obstacle = the_one(wanted)
    assert (obstacle.says, obstacle.may_pass) == (says, False)


def test_what_began_a_moment_ago_can_still_be_written_down(wanted):
    assert obstacles_to(at_(wanted, NOW - timedelta(minutes=15)), at=NOW) == []


def test_a_clash_says_who_and_from_when_until_when(wanted):
    at_ten = AppointmentFactory(stylist=wanted.stylist, kind=wanted.kind, starts_at=TUESDAY_TEN)
    assert the_one(wanted).says == f"Imke Underhay is with {at_ten.client} until 11:00."
    earlier = the_one(at_(wanted, TUESDAY_TEN - timedelta(minutes=30)))
    assert earlier.says == f"Imke Underhay is with {at_ten.client} from 10:00 until 11:00."
    assert (earlier.code, earlier.about, earlier.may_pass) == ("stylist", "starts_at", False)


@pytest.mark.parametrize(
    ("minutes", "code", "says"),
    [
        (-75, None, ""),
        (-70, "clean-up", "Chair by the door has to be cleaned until 10:05, and {} has it from 10:00."),
        (-60, "clean-up", "Chair by the door has to be cleaned until 10:15, and {} has it from 10:00."),
        (-59, "place", "Chair by the door is taken by {} from 10:00."),
        (0, "place", "Chair by the door is taken by {} from 10:00."),
        (59, "place", "Chair by the door is free again at 11:15, after {}."),
        (60, "clean-up", "Chair by the door is cleaned after {} and free again at 11:15."),
        (74, "clean-up", "Chair by the door is cleaned after {} and free again at 11:15."),
        (75, None, ""),
    ],
)
def test_a_place_is_taken_or_only_being_cleaned(wanted, minutes, code, says):
    other = AppointmentFactory(place=wanted.place, kind=wanted.kind, starts_at=TUESDAY_TEN)
    found = obstacles_to(at_(wanted, TUESDAY_TEN + timedelta(minutes=minutes)), at=NOW)
    assert [obstacle.code for obstacle in found] == ([code] if code else [])
    assert [obstacle.says for obstacle in found] == ([says.format(other.client)] if code else [])
    assert [obstacle.may_pass for obstacle in found] == ([code == "clean-up"] if code else [])


@pytest.mark.parametrize("state", ["cancelled", "missed"])
def test_what_does_not_stand_is_in_nobodys_way(wanted, state):
    AppointmentFactory(place=wanted.place, stylist=wanted.stylist, starts_at=TUESDAY_TEN, state=state)
    assert obstacles_to(wanted, at=NOW) == []


def test_times_are_said_by_the_salons_clock_whoever_asks(wanted):
    at_ten = AppointmentFactory(
        stylist=wanted.stylist, kind=wanted.kind, starts_at=datetime(2026, 7, 7, 10, tzinfo=UTC)
    )
    with timezone.override("Asia/Tokyo"):
        found = obstacles_to(at_(wanted, at_ten.starts_at), at=at_ten.starts_at - timedelta(days=1))
    assert found[0].says == f"Imke Underhay is with {at_ten.client} until 12:00."


def test_the_questions_do_not_grow_with_what_is_written_down_and_are_bounded_by_the_beginning(wanted):
    obstacles_to(wanted, at=NOW)  # makes the salon, which is done once
    with CaptureQueriesContext(connection) as few:
        obstacles_to(wanted, at=NOW)
    for days in range(1, 6):
        day = (TUESDAY_TEN + timedelta(days=days)).date()
        Closure.objects.create(first_day=day, last_day=day, because="Works")
        AppointmentFactory(stylist=wanted.stylist, place=wanted.place, starts_at=TUESDAY_TEN + timedelta(days=days))
    opens(1, 2, 3, 4)
    works(wanted.stylist, 1, 2, 3, 4)
    with CaptureQueriesContext(connection) as many:
        assert obstacles_to(wanted, at=NOW) == []
    assert len(few) == len(many)
    asked = [query["sql"] for query in many if f'FROM "{Appointment._meta.db_table}"' in query["sql"]]
    assert len(asked) == 3
    assert all('"starts_at" >' in sql and '"starts_at" <' in sql for sql in asked)
