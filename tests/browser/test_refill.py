"""An appointment is cancelled and its time given to somebody from the waiting list; whoever was faster is named."""

from datetime import time, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import localdate
from playwright.sync_api import expect

from fittings.models import Appointment, OpeningHours, Place, WaitingEntry
from tests.browser.test_every_page_is_accessible import small_targets, sticking_out
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.desk.booking_scene import in_days
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory, WaitingEntryFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
LAPTOP = {"viewport": {"width": 1366, "height": 768}}
SIZES = pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
WAITING, BOOKED = WaitingEntry.State.WAITING, WaitingEntry.State.BOOKED


@pytest.fixture
def salon(db):
    """One stylist and one private room, open from nine to six every day: what is given back is the only time free."""
    for weekday in range(1, 8):
        OpeningHours.objects.create(weekday=weekday, opens=time(9), closes=time(18))
    return {
        "kind": ServiceKindFactory(minutes=90, clean_up_minutes=15, at_chair=False, at_basin=False),
        "stylist": StylistFactory(first_name="Imke", last_name="Sandvik"),
        "place": PlaceFactory(name="The quiet room", sort=Place.Sort.ROOM),
    }


@pytest.fixture
def zoe():
    return ClientFactory(given_name="Zoë", family_name="Quill")


@pytest.fixture
def booked(salon, zoe):
    """Hers, tomorrow at ten."""
    return AppointmentFactory(**salon, client=zoe, starts_at=in_days(1, 10))


@pytest.fixture
def maren():
    return ClientFactory(given_name="Maren", family_name="Holloway", phone="07700 900318")


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


def no_violations(page):
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    assert not found, found


def cancel(page, because):
    page.get_by_role("link", name="Cancel it").click()
    page.get_by_label("Why is it cancelled?").fill(because)
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Who could take this time?").click()
    expect(page.get_by_role("heading", name="Who could take this time?")).to_be_visible()


@SIZES
def test_a_cancelled_time_goes_to_the_one_on_the_list_whom_it_fits_best(
    salon, booked, maren, staff_page, address, size
):
    wish = WaitingEntryFactory(client=maren, kind=salon["kind"], stylist=salon["stylist"], note="brings her sister")
    other = ClientFactory(given_name="Joan", family_name="Pettigrew")
    WaitingEntryFactory(client=other, kind=ServiceKindFactory(name="Check-up", minutes=30, purpose="check-up"))
    afternoons = ClientFactory(given_name="Freya", family_name="Lund")
    WaitingEntryFactory(client=afternoons, kind=salon["kind"], part_of_day="afternoons")
    page = staff_page("Front desk", **size)
    page.goto(address("appointment", booked.reference))
    cancel(page, "She rang, has a cold")
    names = page.get_by_role("main").get_by_role("heading", level=2)
    expect(names).to_have_text(["Maren Holloway", "Joan Pettigrew"])
    expect(page.get_by_role("listitem").filter(has_text="Maren Holloway")).to_contain_text("Ring 07700 900318")
    expect(page.get_by_text("asked for Imke Sandvik · the same kind of visit")).to_be_visible()
    no_violations(page)
    assert sticking_out(page) == []
    assert small_targets(page) == []
    page.get_by_role("button", name="Book 10:00 for Maren Holloway").click()
    expect(page.get_by_role("status")).to_contain_text("Booked: Maren Holloway, Consult")
    taken = Appointment.objects.get(client=maren)
    assert (taken.starts_at, taken.stylist, taken.place) == (in_days(1, 10), salon["stylist"], salon["place"])
    assert taken.note == "brings her sister"
    wish.refresh_from_db()
    assert (wish.state, wish.booked_as) == (BOOKED, taken)


def test_two_quick_presses_book_her_once_and_the_way_back_says_what_became_of_it(
    salon, booked, maren, staff_page, address
):
    wish = WaitingEntryFactory(client=maren, kind=salon["kind"])
    page = staff_page("Front desk", **LAPTOP)
    page.goto(address("appointment", booked.reference))
    cancel(page, "She rang, has a cold")
    page.get_by_role("button", name="Book 10:00").dblclick()
    expect(page.get_by_text("Maren Holloway").first).to_be_visible()
    page.goto(address("appointment-refill", booked.reference))
    expect(page.get_by_text("Nobody on the waiting list could take it.")).to_be_visible()
    page.goto(address("waiting", wish.reference))
    expect(page.get_by_role("link", name="To the appointment")).to_be_visible()
    assert Appointment.objects.filter(client=maren).count() == 1


def test_a_time_given_away_in_a_second_window_is_refused_and_the_wish_stays(salon, booked, maren, staff_page, address):
    wish = WaitingEntryFactory(client=maren, kind=salon["kind"])
    page = staff_page("Front desk", **LAPTOP)
    page.goto(address("appointment", booked.reference))
    cancel(page, "She rang, has a cold")
    other = ClientFactory(given_name="Joan", family_name="Pettigrew")
    AppointmentFactory(**salon, client=other, starts_at=in_days(1, 10))
    page.get_by_role("button", name="Book 10:00").click()
    expect(page.get_by_role("alert")).to_contain_text("Imke Sandvik is with Joan Pettigrew until 11:30")
    no_violations(page)
    wish.refresh_from_db()
    assert (wish.state, Appointment.objects.filter(client=maren).count()) == (WAITING, 0)
    page.get_by_role("button", name="11:45").first.click()
    expect(page.get_by_role("status")).to_contain_text("Booked: Maren Holloway")
    assert Appointment.objects.get(client=maren).starts_at == in_days(1, 11, 45)


def test_put_on_the_list_booked_at_a_time_that_suits_or_taken_off(salon, maren, staff_page, address):
    page = staff_page("Front desk", **LAPTOP)
    page.goto(address("today"))
    page.get_by_role("link", name="Waiting list").click()
    page.get_by_role("link", name="Put somebody on the list").click()
    expect(page.get_by_label("Who is it for?")).to_be_focused()
    page.keyboard.type("holl")
    page.get_by_role("link", name="Maren Holloway").click()
    page.get_by_label("What she waits for").select_option(label="Consult")
    page.get_by_label("Part of day").select_option(label="Afternoons")
    page.get_by_role("button", name="Put on the list").click()
    expect(page.get_by_role("status")).to_contain_text("Maren Holloway is on the waiting list")
    day = localdate() + timedelta(days=1)
    expect(page.get_by_role("heading", name=f"{day:%A} {day.day} {day:%B}")).to_be_visible()
    expect(page.get_by_role("button", name="10:00")).to_have_count(0)
    no_violations(page)
    second = page.context.new_page()
    second.goto(page.url)
    page.get_by_label("Why").fill("Found a time elsewhere")
    page.get_by_role("button", name="Take her off").click()
    expect(page.get_by_role("status")).to_contain_text("off the waiting list")
    assert WaitingEntry.objects.get().state == WaitingEntry.State.GIVEN_UP
    second.get_by_role("button", name="Take her off").click()
    expect(second.get_by_role("main")).to_contain_text("Found a time elsewhere")
    assert WaitingEntry.objects.get().closed_because == "Found a time elsewhere"
