"""The day's page: who stands where on it, what it says, what refreshes, and what is done on it in place."""

import json
from datetime import UTC, date, datetime, timedelta
from html import unescape
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localtime, now

from fittings.desk.board_day import board_of
from fittings.desk.day import MOST_ROWS
from fittings.models import Closure, OpeningHours, TimeOff, UnitToTry, WorkingHours
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, StylistFactory
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


# Where things stand


def test_a_visit_stands_at_its_place_as_tall_as_it_lasts_with_its_clean_up_below():
    room = PlaceFactory(name="The quiet room", sort="room")
    PlaceFactory(name="Chair 9")
    AppointmentFactory(place=room, starts_at=at(10, 30))  # 90 minutes and 15 of cleaning up
    (block,) = board().blocks
    assert (block.column, block.from_row, block.rows) == (1, (10.5 - 9) * 12, 18)
    assert block.clean_position == f"in-1 from-{block.from_row + 18} for-3"
    assert [(column.name, column.note, column.is_free) for column in board().columns] == [
        ("The quiet room", "private", False),
        ("Chair 9", "", True),
    ]


def test_by_stylist_hers_is_the_first_column_and_no_clean_up_is_drawn():
    StylistFactory(first_name="Aava", last_name="Alder")
    me = StylistFactory(first_name="Zoe", last_name="Zander")
    AppointmentFactory(stylist=me, starts_at=at(10))
    seen = board(by="stylist", reader=me)
    assert [column.name for column in seen.columns] == ["Zoe Zander", "Aava Alder"]
    assert (seen.blocks[0].column, seen.blocks[0].clean_rows, seen.blocks[0].is_hers) == (1, 0, True)


def test_the_board_reaches_from_opening_to_closing_and_as_far_as_anybody_is_booked():
    PlaceFactory()
    assert [mark.clock for mark in board().hours][:: len(board().hours) - 1] == ["09:00", "17:00"]
    opens(DAY.isoweekday(), "10:30", "16:00")
    assert [mark.clock for mark in board().hours] == ["10:00", "11:00", "12:00", "13:00", "14:00", "15:00"]
    AppointmentFactory(starts_at=at(7, 45))
    assert board().hours[0].clock == "07:00"
    assert ("Closed", 0, 42) in [(shade.says, shade.from_row, shade.rows) for shade in board().shades]


def test_a_closed_day_says_why_and_is_shaded_whole():
    PlaceFactory()
    opens(DAY.isoweekday())
    Closure.objects.create(first_day=DAY, last_day=DAY, because="Stocktaking")
    seen = board()
    assert (seen.is_closed, seen.closed_because) == (True, "Stocktaking")
    assert not board(DAY + timedelta(days=7)).is_closed
    assert [(shade.from_row, shade.rows) for shade in seen.shades] == [(0, seen.rows)]


def test_a_stylists_break_and_time_off_are_told_apart():
    me = StylistFactory()
    WorkingHours.objects.create(
        stylist=me, weekday=DAY.isoweekday(), begins="09:00", ends="18:00", break_begins="12:30", break_ends="13:00"
    )
    TimeOff.objects.create(stylist=me, starts_at=at(15), ends_at=at(16))
    shades = [(shade.says, shade.from_row, shade.rows) for shade in board(by="stylist", reader=me).shades]
    assert shades == [("Break", 42, 6), ("Not at work", 72, 12)]


@pytest.mark.parametrize(
    ("day", "hours"),
    # Europe/London's clock changes of 2027 (tzdata 2026.6; see REFERENCES section 10): a day of 23 hours and one of 25
    [(date(2027, 3, 28), 23), (date(2027, 10, 31), 25)],
)
def test_a_day_on_which_the_clock_changes_is_as_long_as_it_is(day, hours):
    PlaceFactory()
    minutes = ServiceKindFactory(name="Short", minutes=30, clean_up_minutes=0)
    AppointmentFactory(kind=minutes, starts_at=at(0, 0, day))
    AppointmentFactory(kind=minutes, starts_at=at(23, 30, day))
    seen = board(day)
    first, last = seen.blocks
    assert (first.from_row, last.from_row) == (0, (hours - 0.5) * 12)
    assert seen.rows == hours * 12
    assert [mark.clock for mark in seen.hours].count("01:00") == {23: 0, 25: 2}[hours]


def test_every_row_and_column_that_a_board_can_have_has_its_rule():
    css = Path(settings.BASE_DIR, "static/css/board-grid.css").read_text()
    for number in range(MOST_ROWS + 1):
        assert f".from-{number} {{ grid-row-start: {number + 2}; }}" in css
        assert not number or f".for-{number} {{ grid-row-end: span {number}; }}" in css


def test_a_night_visit_is_cut_at_the_ends_of_the_board_and_never_left_out():
    long = ServiceKindFactory(name="Long", minutes=600, clean_up_minutes=240)
    AppointmentFactory(kind=long, starts_at=at(23, 45))
    (block,) = board().blocks
    assert block.rows >= 1
    assert block.from_row + block.rows <= board().rows


# What it says


def test_the_page_says_who_comes_for_what_what_is_missing_and_what_to_lay_out(desk, tomorrow):
    her = ClientFactory(given_name="Margaret", preferred_name="Peg", family_name="Ashdown")
    appointment = AppointmentFactory(client=her, starts_at=tomorrow, deposit_minor=2500)
    unit = UnitFactory()
    UnitToTry.objects.create(appointment=appointment, unit=unit, added_by=appointment.stylist, added_at=now())
    page = page_of(desk.get(reverse("today") + f"?day={tomorrow:%Y-%m-%d}"))
    for said in ("Peg Ashdown", "10:00", "Consult", "Consent: not signed yet", "Deposit: £25.00 due", unit.number):
        assert said in page
    assert "Margaret" not in page


@pytest.mark.parametrize(("units", "long"), [("metric", "30.0 cm"), ("imperial", "11¾ in")])
def test_what_lies_ready_says_its_length_as_the_reader_measures(client, tomorrow, units, long):
    client.force_login(DeskFactory(units=units))
    appointment, unit = AppointmentFactory(starts_at=tomorrow), UnitFactory(variant__length_mm=300)
    UnitToTry.objects.create(appointment=appointment, unit=unit, added_by=appointment.stylist, added_at=now())
    for address in (
        reverse("today") + f"?day={tomorrow:%Y-%m-%d}",
        reverse("appointment", args=[appointment.reference]),
    ):
        page = page_of(client.get(address)).replace("\N{NO-BREAK SPACE}", " ")
        assert f"{unit.variant.piece}, {unit.variant.shade.code}, {long}" in page


def test_a_day_without_anybody_says_what_to_do(desk):
    assert "no room, chair or basin yet" in page_of(desk.get(reverse("today")))
    PlaceFactory()
    page = page_of(desk.get(reverse("today")))
    assert "Nobody is booked." in page
    assert "Book somebody" in page
    assert "Free all day." in page


def test_cancelled_and_missed_ones_hold_no_place_on_the_board(desk, tomorrow):
    AppointmentFactory(starts_at=tomorrow, state="cancelled")
    response = desk.get(reverse("today") + f"?day={tomorrow:%Y-%m-%d}")
    assert response.context["board"].blocks == ()
    assert "Cancelled, or did not come" in page_of(response)
    assert "Who could take its time?" in page_of(response)


def test_names_are_the_salons_alone(desk, tomorrow):
    her = AppointmentFactory(starts_at=tomorrow).client
    page = page_of(desk.get(reverse("today") + f"?day={tomorrow:%Y-%m-%d}"))
    assert str(her) not in page[: page.index('<day-board class="salon-only"')]
    assert str(her) not in page[page.index("</day-board>") :]


@pytest.mark.parametrize("by", ["place", "stylist"])
def test_the_page_takes_the_same_queries_for_three_as_for_thirty(desk, queries_for, tomorrow, by):
    kind = ServiceKindFactory(name="Cut-in", needs_tape_test=True, needs_colour_test=True, deposit_minor=100)

    def come(count):
        for _ in range(count):
            to = AppointmentFactory(kind=kind, starts_at=tomorrow)
            UnitToTry.objects.create(appointment=to, unit=UnitFactory(), added_by=to.stylist, added_at=now())

    address = reverse("today") + f"?day={tomorrow:%Y-%m-%d}&by={by}"
    come(3)
    few = queries_for(address)
    come(27)
    many = queries_for(address)
    assert few == many
    assert many <= 30


# What refreshes


def test_nothing_new_is_answered_with_no_page_and_the_time(desk, tomorrow):
    appointment = AppointmentFactory(starts_at=tomorrow)
    address = reverse("today-board") + f"?day={tomorrow:%Y-%m-%d}"
    stamp = desk.get(address, headers=SWAP).context["board"].stamp
    nothing = desk.get(f"{address}&stamp={stamp}", headers=SWAP)
    assert nothing.status_code == 204
    assert "at" in json.loads(nothing["HX-Trigger"])["board-seen"]
    appointment.client.preferred_name = "Peg"
    appointment.client.save()
    fresh = desk.get(f"{address}&stamp={stamp}", headers=SWAP)
    assert fresh.status_code == 200
    assert "Peg" in page_of(fresh)
    assert "<html" not in page_of(fresh)


def test_the_part_opened_as_a_page_is_the_page(desk):
    assert "<html" in page_of(desk.get(reverse("today-board")))


# What is done on it


def test_the_zone_of_the_salon_decides_which_day_it_is(client):
    client.force_login(DeskFactory())
    salon = Salon.objects.default()
    salon.time_zone = "Pacific/Auckland"
    salon.save()
    # 23:30 UTC on the 23rd is the 24th in Auckland (UTC+13 in November; IANA tzdata)
    AppointmentFactory(starts_at=datetime(2026, 11, 23, 23, 30, tzinfo=UTC))
    page = client.get(reverse("today") + "?day=2026-11-24")
    assert [block.begins for block in page.context["board"].blocks] == ["12:30"]
