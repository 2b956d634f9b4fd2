"""Which times are offered: nobody and no place twice, within hours, as wished, in few queries."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from fittings.free_times import (
    Wish,
    free_at,
    free_times,
    nearest_free_times,
    places_for,
    stylists_for,
)
from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 3, 2, 0, 0, tzinfo=UTC)  # London keeps UTC until the 29th


def at(hour, minute=0, day=0):
    return MONDAY + timedelta(days=day, hours=hour, minutes=minute)


def clock(found):
    return [f"{free.starts_at:%H:%M}" for free in found]


@pytest.fixture(autouse=True)
def open_nine_to_twelve():
    Salon.objects.default()
    for weekday in range(1, 6):
        OpeningHours.objects.create(weekday=weekday, opens=time(9), closes=time(12))


@pytest.fixture
def place():
    return PlaceFactory(name="Chair by the window")


@pytest.fixture
def ada(place):
    return StylistFactory(first_name="Ada")


@pytest.fixture
def half_an_hour():
    return ServiceKindFactory(name="Check-up", minutes=30, clean_up_minutes=15, purpose="check-up")


# Hours


def test_the_quarter_hours_at_which_all_of_a_visit_lies_within_the_opening_hours(ada, place):
    found = free_times(kind=ServiceKindFactory(minutes=120, clean_up_minutes=30), since=MONDAY, days=1)
    assert clock(found) == ["09:00", "09:15", "09:30", "09:45", "10:00"]  # cleaning up may last until 12:30
    assert {(free.stylist, free.place, free.ends_at - free.starts_at) for free in found} == {
        (ada, place, timedelta(hours=2))
    }


def test_a_break_time_off_and_a_short_day_are_kept_clear(ada, place, half_an_hour):
    WorkingHours.objects.create(
        stylist=ada, weekday=1, begins=time(8), ends=time(18), break_begins=time(9, 30), break_ends=time(9, 40)
    )
    TimeOff.objects.create(stylist=ada, starts_at=at(11), ends_at=at(20))
    found = free_times(kind=half_an_hour, since=MONDAY, days=1)
    assert clock(found) == ["09:00", "09:45", "10:00", "10:15", "10:30"]
    Closure.objects.create(
        first_day=MONDAY.date(), last_day=MONDAY.date(), because="stocktaking", opens=time(9), closes=time(10, 30)
    )
    assert clock(free_times(kind=half_an_hour, since=MONDAY, days=1)) == ["09:00", "09:45", "10:00"]


def test_a_closed_day_and_a_weekday_off_have_none(ada, place, half_an_hour):
    WorkingHours.objects.create(stylist=ada, weekday=2, begins=time(9), ends=time(9, 30))
    WorkingHours.objects.create(stylist=ada, weekday=3, begins=time(9), ends=time(9, 30))
    Closure.objects.create(first_day=date(2026, 3, 3), last_day=date(2026, 3, 3), because="works")
    found = free_times(kind=half_an_hour, since=MONDAY, days=9)
    assert [free.starts_at for free in found] == [at(9, day=2), at(9, day=8)]


def test_a_salon_without_hours_is_open_over_midnight(ada, place, half_an_hour):
    OpeningHours.objects.all().delete()
    found = free_times(kind=half_an_hour, since=MONDAY, days=2)
    assert len(found) == 2 * 96
    assert (found[95].starts_at, found[-1].starts_at) == (at(23, 45), at(47, 45))


# What is taken


def test_a_standing_appointment_takes_the_stylist_and_longer_the_place(ada, place, half_an_hour):
    zoe = StylistFactory(first_name="Zoe")
    AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    found = free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(stylist=zoe))
    # the last before must be cleaned up by 10:00, the first after waits until 10:45
    assert clock(found) == ["09:00", "09:15", "10:45", "11:00", "11:15", "11:30"]


def test_clean_up_counts_for_the_place_alone(ada, place, half_an_hour):
    AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    other = PlaceFactory(name="Chair in the corner")
    found = free_times(kind=half_an_hour, since=MONDAY, days=1)
    assert clock(found) == ["09:00", "09:15", "09:30", "10:30", "10:45", "11:00", "11:15", "11:30"]
    assert [free.place for free in found] == [place, place, other, other, *[place] * 4]


@pytest.mark.parametrize(("state", "is_free"), [("cancelled", True), ("missed", True), ("done", False)])
def test_what_does_not_stand_takes_nothing(ada, place, half_an_hour, state, is_free):
    AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(9), state=state)
    assert ("09:00" in clock(free_times(kind=half_an_hour, since=MONDAY, days=1))) is is_free


def test_the_longest_visit_that_began_before_is_still_in_the_way(ada, place, half_an_hour):
    OpeningHours.objects.all().delete()
    longest = ServiceKindFactory(name="All day", minutes=600, clean_up_minutes=240)
    AppointmentFactory(kind=longest, stylist=StylistFactory(), place=place, starts_at=at(-13, -30))
    found = free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(stylist=ada), at_most=1)
    assert clock(found) == ["00:30"]


def test_a_visit_after_the_last_day_is_in_the_way_of_the_clean_up_before_it(ada, place, half_an_hour):
    OpeningHours.objects.all().delete()
    AppointmentFactory(kind=half_an_hour, place=place, starts_at=at(24, 15))
    assert clock(free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(stylist=ada)))[-1] == "23:30"


def test_her_own_other_appointment_is_kept_clear_when_she_is_named(ada, place, half_an_hour):
    client = ClientFactory()
    AppointmentFactory(kind=half_an_hour, client=client, starts_at=at(10))
    found = free_times(kind=half_an_hour, since=MONDAY, days=1, client=client, wish=Wish(stylist=ada, place=place))
    assert clock(found) == ["09:00", "09:15", "09:30", "10:30", "10:45", "11:00", "11:15", "11:30"]
    for_anybody = free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(stylist=ada, place=place))
    assert "10:00" in clock(for_anybody)


def test_what_is_about_to_be_moved_is_not_in_its_own_way(ada, place, half_an_hour):
    moved = AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    how = {"kind": half_an_hour, "since": MONDAY, "days": 1, "client": moved.client}
    assert "10:15" not in clock(free_times(**how))
    assert "10:15" in clock(free_times(**how, besides=moved))


# Who and where


def test_at_one_start_each_stylist_once_with_the_first_suiting_place(ada, half_an_hour):
    zoe, room = StylistFactory(first_name="Zoe"), PlaceFactory(name="Zebra room", sort="room")
    found = free_times(kind=half_an_hour, since=MONDAY, days=1)
    assert [(free.starts_at, free.stylist, free.place) for free in found[:3]] == [
        (at(9), ada, room),
        (at(9), zoe, room),
        (at(9, 15), ada, room),
    ]


def test_a_place_suits_by_its_sort_and_while_it_is_in_use(half_an_hour):
    room, chair = PlaceFactory(name="Room", sort="room"), PlaceFactory(name="Chair")
    PlaceFactory(name="Basin", sort="basin")
    PlaceFactory(name="Broken chair", is_in_use=False)
    half_an_hour.at_basin = False
    assert places_for(half_an_hour) == [room, chair]


def test_every_stylist_does_a_kind_that_nobody_is_ticked_for(ada, half_an_hour, django_assert_num_queries):
    owner, zoe = OwnerFactory(), StylistFactory(first_name="Zoe")
    DeskFactory()
    StylistFactory(is_active=False)
    assert stylists_for(half_an_hour) == [ada, owner, zoe]
    half_an_hour.done_by.add(zoe)
    with django_assert_num_queries(1):
        assert stylists_for(half_an_hour) == [zoe]


def test_nobody_does_a_kind_whose_only_stylist_has_left(ada, place, half_an_hour):
    half_an_hour.done_by.add(StylistFactory(is_active=False))
    assert stylists_for(half_an_hour) == []
    assert free_times(kind=half_an_hour, since=MONDAY) == []


def test_without_a_place_there_is_no_time(ada, half_an_hour):
    half_an_hour.at_chair = False
    assert free_times(kind=half_an_hour, since=MONDAY) == []


# Wishes


def test_a_stylist_and_a_place_can_be_wished_for(ada, place, half_an_hour):
    zoe, room = StylistFactory(first_name="Zoe"), PlaceFactory(name="Room", sort="room")
    found = free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(stylist=zoe, place=place))
    assert {(free.stylist, free.place) for free in found} == {(zoe, place)}
    half_an_hour.in_private_room = False
    assert free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(place=room)) == []


def test_mornings_begin_before_noon_and_afternoons_from_noon_by_the_salons_clock(ada, place, half_an_hour):
    OpeningHours.objects.filter(weekday=1).update(closes=time(13))
    summer = datetime(2026, 3, 30, tzinfo=UTC)  # a Monday, an hour ahead of UTC
    mornings, afternoons = (
        free_times(kind=half_an_hour, since=summer, days=1, wish=Wish(part_of_day=part))
        for part in ("mornings", "afternoons")
    )
    assert (clock(mornings)[0], clock(mornings)[-1]) == ("08:00", "10:45")
    assert clock(afternoons) == ["11:00", "11:15", "11:30"]


def test_weekdays_can_be_wished_for(ada, place, half_an_hour):
    found = free_times(kind=half_an_hour, since=MONDAY, days=14, wish=Wish(weekdays=frozenset({2, 6})))
    assert {free.starts_at.date() for free in found} == {date(2026, 3, 3), date(2026, 3, 10)}


def test_not_before_moves_the_days_looked_at(ada, place, half_an_hour):
    late = at(11, 20, day=21)
    found = free_times(kind=half_an_hour, since=MONDAY, days=2, wish=Wish(not_before=late))
    assert found[0].starts_at == at(11, 30, day=21)
    assert found[-1].starts_at == at(11, 30, day=22)
    earlier = free_times(kind=half_an_hour, since=MONDAY, days=1, wish=Wish(not_before=at(0, day=-3)))
    assert earlier == free_times(kind=half_an_hour, since=MONDAY, days=1)


def test_an_unknown_part_of_the_day_is_refused():
    with pytest.raises(ValueError, match="one of any, mornings, afternoons, got “evenings”"):
        Wish(part_of_day="evenings")


def test_nothing_before_the_moment_asked_about(ada, place, half_an_hour):
    assert clock(free_times(kind=half_an_hour, since=at(11, 15), days=1)) == ["11:15", "11:30"]
    assert clock(free_times(kind=half_an_hour, since=at(11, 16), days=1)) == ["11:30"]
    assert free_times(kind=half_an_hour, since=at(11, 31), days=1) == []


def test_days_are_those_of_the_salons_clock(ada, place, half_an_hour):
    salon = Salon.objects.default()
    salon.time_zone = "Asia/Tokyo"
    salon.save()
    evening = datetime(2026, 3, 2, 23, 0, tzinfo=UTC)  # 08:00 of Tuesday there
    found = free_times(kind=half_an_hour, since=evening, days=1)
    assert (found[0].starts_at, found[-1].starts_at) == (at(0, day=1), at(2, 30, day=1))


def test_at_most_so_many(ada, place, half_an_hour):
    assert clock(free_times(kind=half_an_hour, since=MONDAY, at_most=3)) == ["09:00", "09:15", "09:30"]


# Changes of the clock


@pytest.mark.parametrize(
    ("zone", "day", "expected"),
    [
        ("Europe/London", date(2026, 3, 29), ["00:30", "02:00", "02:30"]),
        ("Europe/London", date(2026, 10, 25), ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00", "02:30"]),
        ("Australia/Lord_Howe", date(2026, 10, 4), ["00:30", "01:00", "01:30", "02:30"]),
        ("Australia/Lord_Howe", date(2026, 4, 5), ["00:30", "01:00", "01:30", "01:30", "02:00", "02:30"]),
        ("America/Phoenix", date(2026, 3, 8), ["00:30", "01:00", "01:30", "02:00", "02:30"]),
    ],
)
def test_the_night_of_a_change_offers_every_time_that_comes_as_often_as_it_comes(ada, place, zone, day, expected):
    salon = Salon.objects.default()
    salon.time_zone = zone
    salon.save()
    OpeningHours.objects.filter(weekday=5).update(weekday=7, opens=time(0, 30), closes=time(3))
    kind = ServiceKindFactory(minutes=30, clean_up_minutes=0)
    noon_before = datetime.combine(day, time(12), UTC) - timedelta(days=1)
    found = free_times(kind=kind, since=noon_before, days=3, wish=Wish(weekdays=frozenset({7})))
    assert len({free.starts_at for free in found}) == len(found)
    shown = [free.starts_at.astimezone(ZoneInfo(zone)) for free in found]
    assert [f"{local:%H:%M}" for local in shown if local.minute % 30 == 0] == expected


# At once, and the nearest


def test_who_could_begin_at_this_very_moment_whatever_the_wish_says_about_when(ada, place, half_an_hour):
    zoe, room = StylistFactory(first_name="Zoe"), PlaceFactory(name="Room", sort="room")
    taken = AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    now = at(10, 7)
    found = free_at(kind=half_an_hour, moment=now, wish=Wish(not_before=at(11), part_of_day="afternoons"))
    assert [(free.starts_at, free.stylist, free.place) for free in found] == [(now, zoe, room)]
    assert free_at(kind=half_an_hour, moment=now, wish=Wish(place=place)) == []
    assert free_at(kind=half_an_hour, moment=now, wish=Wish(stylist=ada)) == []
    assert free_at(kind=half_an_hour, moment=now, client=taken.client) == []
    assert free_at(kind=half_an_hour, moment=at(11, 31)) == []  # it would last until after closing


def test_the_three_nearest_lie_on_either_side_in_order_of_time(ada, place, half_an_hour):
    AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    found = nearest_free_times(kind=half_an_hour, to=at(10), at=MONDAY)
    assert clock(found) == ["09:00", "09:15", "10:45"]


def test_the_nearest_are_so_many_moments_whoever_is_free_then(ada, place, half_an_hour):
    StylistFactory(first_name="Zoe")
    found = nearest_free_times(kind=half_an_hour, to=at(10), at=MONDAY)
    assert clock(found) == ["09:45", "10:00", "10:15"]
    assert {free.stylist for free in found} == {ada}


def test_the_nearest_are_never_before_now_and_may_be_days_away(ada, place, half_an_hour):
    assert clock(nearest_free_times(kind=half_an_hour, to=at(9), at=at(9, 5))) == ["09:15", "09:30", "09:45"]
    evening = nearest_free_times(kind=half_an_hour, to=at(20), at=at(11, 40), count=1)
    assert [free.starts_at for free in evening] == [at(9, day=1)]


def test_the_nearest_of_a_full_month_are_none(ada, place, half_an_hour):
    Closure.objects.create(first_day=date(2026, 1, 1), last_day=date(2026, 5, 1), because="works")
    assert nearest_free_times(kind=half_an_hour, to=at(9), at=MONDAY) == []


def test_the_nearest_take_wish_client_and_what_is_moved(ada, place, half_an_hour):
    zoe = StylistFactory(first_name="Zoe")
    moved = AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(10))
    how = {"kind": half_an_hour, "to": at(10), "at": MONDAY, "count": 1}
    assert clock(nearest_free_times(**how, wish=Wish(stylist=zoe), besides=moved)) == ["10:00"]
    other = PlaceFactory(name="Chair in the corner")
    assert clock(nearest_free_times(**how, wish=Wish(stylist=zoe, place=other), client=moved.client)) == ["09:30"]


# Queries


def test_the_queries_are_as_many_for_a_full_salon_as_for_an_empty_one(
    ada, place, half_an_hour, django_assert_num_queries
):
    def look():
        free_times(kind=half_an_hour, since=MONDAY, client=moved.client, besides=moved)

    def look_nearby():
        nearest_free_times(kind=half_an_hour, to=at(10, day=3), at=MONDAY)

    moved = AppointmentFactory(kind=half_an_hour, stylist=ada, place=place, starts_at=at(9))
    for search in (look, look_nearby):
        with django_assert_num_queries(8):
            search()
    people, places = [*StylistFactory.create_batch(9), ada], [*PlaceFactory.create_batch(9), place]
    half_an_hour.done_by.set(people)
    client = ClientFactory()
    for stylist, chair in zip(people, places, strict=True):
        WorkingHours.objects.create(stylist=stylist, weekday=1, begins=time(9), ends=time(12))
        TimeOff.objects.create(stylist=stylist, starts_at=at(9, day=4), ends_at=at(10, day=4))
        for day in range(1, 4):
            AppointmentFactory(
                kind=half_an_hour, client=ClientFactory(by=client.created_by), stylist=stylist, place=chair,
                starts_at=at(10, day=day),
            )  # fmt: skip
    for search in (look, look_nearby):
        with django_assert_num_queries(
            8
        ):  # zone, week, closures; stylists, places; their weeks, time off; what is taken
            search()
