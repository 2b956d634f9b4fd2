"""What is done on the day's board: moving, undoing, marking, and laying units out."""

import json
from datetime import date, datetime, timedelta
from html import unescape
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localtime, now

from fittings.desk.board_day import board_of
from fittings.models import Appointment, AppointmentChange, OpeningHours, UnitToTry
from tests.factories import DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db

SWAP = {"HX-Request": "true"}
LONDON = ZoneInfo("Europe/London")
DAY = date(2026, 11, 24)  # a Tuesday in winter


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def tomorrow():
    """Ten in the morning of tomorrow, on the salon's clock."""
    return (localtime(now(), LONDON) + timedelta(days=1)).replace(hour=10, minute=0, second=0, microsecond=0)


def at(hour, minute=0, day=DAY):
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=LONDON)


def board(day=DAY, by="place", reader=None, moment=None):
    with timezone.override(LONDON):
        return board_of(day=day, by=by, reader=reader or DeskFactory(), units="metric", at=moment or at(8))


def opens(weekday, begins="09:00", ends="18:00"):
    OpeningHours.objects.create(weekday=weekday, opens=begins, closes=ends)


def page_of(response):
    return unescape(response.content.decode())


def move(browser, appointment, part=True, day=None, **posted):
    address = reverse("board-move", args=[appointment.reference])
    address += f"?day={localtime(appointment.starts_at, LONDON):%Y-%m-%d}&by=place"
    return browser.post(address, posted, headers=SWAP if part else None)


def again(appointment):
    return Appointment.objects.select_related("stylist", "place").get(pk=appointment.pk)


def test_a_quarter_hour_later_and_undone(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    response = move(desk, appointment, shift=15, seen=0)
    assert again(appointment).starts_at == tomorrow + timedelta(minutes=15)
    said = response.context["said"]
    assert f"{appointment.client} is moved to {tomorrow:%a} {tomorrow.day} {tomorrow:%b}, 10:15" in said.says
    assert "Undo" in page_of(response)
    assert said.says in json.loads(response["HX-Trigger"])["board-seen"]["says"]
    undo = said.undo
    move(
        desk,
        appointment,
        starts_at=undo.starts_at,
        stylist=undo.stylist,
        place=undo.place,
        seen=said.seen,
        anyway_because=said.undo_because,
    )
    assert again(appointment).starts_at == tomorrow
    assert list(AppointmentChange.objects.values_list("what", flat=True)) == ["moved", "moved"]


def test_to_another_place_and_another_stylist(desk, tomorrow):
    appointment, chair, her = AppointmentFactory(starts_at=tomorrow), PlaceFactory(), StylistFactory()
    move(desk, appointment, place=chair.pk)
    move(desk, appointment, stylist=her.pk)
    assert (again(appointment).place, again(appointment).stylist) == (chair, her)
    assert again(appointment).starts_at == tomorrow


def test_without_a_script_a_move_comes_back_to_the_day(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    response = move(desk, appointment, part=False, shift=60)
    assert response.status_code == 302
    page = page_of(desk.get(response.url))
    assert "is moved to" in page
    assert "11:00" in page


def test_a_clash_is_told_in_place_with_the_nearest_free_times(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    taken = AppointmentFactory(starts_at=tomorrow + timedelta(hours=2), place=appointment.place)
    for part in (True, False):
        response = move(desk, appointment, part=part, shift=60)
        refused = response.context["refused"]
        assert not refused.may_pass
        assert len(refused.nearest) == 3
        page = page_of(response)
        assert str(taken.client) in " ".join(refused.reasons)
        assert all(reason in page for reason in refused.reasons)
        assert all(free.says in page for free in refused.nearest)
    assert again(appointment).starts_at == tomorrow


def test_what_may_be_gone_past_asks_for_the_reason_and_takes_it(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    for weekday in range(1, 8):
        opens(weekday, "08:00", "12:00")
    response = move(desk, appointment, shift=60)
    refused = response.context["refused"]
    assert refused.may_pass
    assert "Move it there anyway, because" in page_of(response)
    move(desk, appointment, starts_at=refused.wanted.starts_at, anyway_because="Her train comes late")
    assert again(appointment).starts_at == tomorrow + timedelta(hours=1)
    assert AppointmentChange.objects.get().because == "Her train comes late"


def test_a_move_seen_from_an_old_page_is_not_made(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    move(desk, appointment, shift=15, seen=0)
    response = move(desk, appointment, shift=15, seen=0)
    assert "Somebody has changed" in response.context["said"].says
    assert again(appointment).starts_at == tomorrow + timedelta(minutes=15)


@pytest.mark.parametrize(
    "posted",
    [
        {"shift": "a while"},
        {"shift": "99999999999"},
        {"starts_at": "tomorrow-ish"},
        {"starts_at": "0001-01-01T00:00:00+14:00"},
        {"starts_at": "9999-12-31T23:59:59-12:00"},
        {"place": "99999999999999999999"},
        {"stylist": "nobody"},
        {"seen": "-1"},
    ],
)
def test_a_move_that_cannot_be_read_changes_nothing(desk, tomorrow, posted):
    appointment = AppointmentFactory(starts_at=tomorrow)
    response = move(desk, appointment, **posted)
    assert response.context["said"].is_refusal
    assert again(appointment).starts_at == tomorrow
    assert not AppointmentChange.objects.exists()


def test_only_a_booked_one_can_be_moved(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow, state="arrived")
    assert "only a booked one can be moved" in move(desk, appointment, shift=15).context["said"].says
    assert board(tomorrow.date()).blocks[0].ways == ()


def test_ways_to_move_name_the_places_and_stylists_beside_that_suit():
    room = PlaceFactory(name="The quiet room", sort="room")
    chair, basin = PlaceFactory(name="Chair 1"), PlaceFactory(name="Basin", sort="basin")
    aava, bree, cleo = (StylistFactory(first_name=name, last_name="") for name in ("Aava", "Bree", "Cleo"))
    kind = ServiceKindFactory(name="Cut-in", in_private_room=True, at_chair=False, at_basin=True)
    kind.done_by.set([aava, cleo])
    AppointmentFactory(kind=kind, place=room, stylist=aava, starts_at=at(10))
    ways = [(way.field, way.value, way.label) for way in board().blocks[0].ways]
    assert [way for way in ways if way[0] == "shift"] == [
        ("shift", -60, "1 hour earlier"),
        ("shift", -15, "15 minutes earlier"),
        ("shift", 15, "15 minutes later"),
        ("shift", 60, "1 hour later"),
    ]
    assert ("place", basin.pk, "To Basin") in ways
    assert ("stylist", cleo.pk, "With Cleo") in ways
    assert {chair.pk, bree.pk}.isdisjoint({value for field, value, _ in ways if field != "shift"})


def test_marking_on_the_board_stays_on_it(desk, tomorrow):
    begun = now() - timedelta(minutes=10)
    appointment = AppointmentFactory(starts_at=begun)
    address = reverse("board-mark", args=[appointment.reference])
    for state in ("arrived", "in the chair", "done"):
        response = desk.post(address, {"state": state}, headers=SWAP)
        assert again(appointment).state == state
        assert f"{appointment.client}: {state}." in page_of(response)
    for nonsense in ("booked", "", "cancelled", "missed"):
        response = desk.post(address, {"state": nonsense}, headers=SWAP)
        assert response.context["said"].is_refusal
    assert desk.post(address, {"state": "done"}).status_code == 302
    assert again(appointment).state == "done"


def test_what_comes_next_depends_on_the_state_and_the_hour():
    def deeds(state, moment):
        Appointment.objects.update(state=state)
        return [deed.label for deed in board(moment=moment).blocks[0].deeds]

    AppointmentFactory(starts_at=at(10))
    assert deeds("booked", at(9)) == ["Arrived", "In the chair"]
    assert deeds("booked", at(10, 1)) == ["Arrived", "Did not come"]
    assert deeds("arrived", at(10, 1)) == ["In the chair"]
    assert deeds("in the chair", at(11)) == ["Done"]
    assert deeds("done", at(12)) == []
    assert deeds("booked", at(9) - timedelta(days=1)) == [], "nobody arrives tomorrow"


# What to lay out


def test_units_are_added_by_number_ticked_on_the_board_and_taken_off(desk, tomorrow):
    appointment, unit = AppointmentFactory(starts_at=tomorrow), UnitFactory()
    address = reverse("appointment-units", args=[appointment.reference])
    desk.post(address, {"number": unit.number.lower().replace("-", " ")})
    to_try = UnitToTry.objects.get()
    assert to_try.unit == unit
    on_board = f"{address}?day={tomorrow:%Y-%m-%d}"
    page = desk.post(on_board, {"laid_out": to_try.pk, "on": "board"}, headers=SWAP)
    assert "laid out" in page_of(page)
    assert UnitToTry.objects.get().laid_out_at
    part = page_of(desk.post(address, {"take_off": to_try.pk}, headers=SWAP))
    assert "Nothing is to be laid out yet." in part
    assert not UnitToTry.objects.exists()


@pytest.mark.parametrize(
    ("posted", "says"),
    [
        ({"number": "U-1"}, "is not a reference"),
        ({"number": ""}, "Choose a unit of the list"),
        ({"laid_out": "1"}, "taken off the list meanwhile"),
        ({"laid_out": "x"}, "Choose a unit of the list"),
        ({"laid_out": "1", "take_off": "1"}, "Choose a unit of the list"),
        ({}, "Choose a unit of the list"),
    ],
)
def test_a_unit_that_cannot_be_laid_out_is_told_in_a_sentence(desk, posted, says):
    address = reverse("appointment-units", args=[AppointmentFactory().reference])
    assert says in page_of(desk.post(address, posted, headers=SWAP))
    assert not UnitToTry.objects.exists()
