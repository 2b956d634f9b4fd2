"""The day in a browser: moved by keys, by mouse and by finger; refreshed in nobody's way; a list on a phone."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import localtime, now
from playwright.sync_api import expect

from fittings.models import Appointment
from tests.factories import ClientFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"viewport": {"width": 1366, "height": 768}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
TABLET = {"viewport": {"width": 1180, "height": 820}, "has_touch": True}
OPTIONS = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
QUARTER = timedelta(minutes=15)


@pytest.fixture
def ten():
    """Ten in the morning of tomorrow, on the salon's clock."""
    tomorrow = localtime(now(), ZoneInfo("Europe/London")) + timedelta(days=1)
    return tomorrow.replace(hour=10, minute=0, second=0, microsecond=0)


@pytest.fixture
def hour_long():
    return ServiceKindFactory(name="Cut-in", purpose="cut-in", minutes=60, clean_up_minutes=0)


@pytest.fixture
def appointment(ten, hour_long):
    """Ada's, at ten, at the first of two chairs."""
    chairs = [PlaceFactory(name=name) for name in ("Chair A", "Chair B")]
    her = ClientFactory(given_name="Ada", family_name="Ashdown", record_consent=True)
    return AppointmentFactory(client=her, kind=hour_long, place=chairs[0], starts_at=ten)


@pytest.fixture
def open_day(staff_page, live_server, ten):
    def open_it(role="Front desk", **how):
        page = staff_page(role, **(how or LAPTOP))
        page.goto(live_server.url + reverse("today") + f"?day={ten:%Y-%m-%d}")
        expect(page.locator("#board")).to_be_visible()
        return page

    return open_it


def kept():
    return Appointment.objects.select_related("place").get(client__given_name="Ada")


def block_of(page, name="Ada"):
    return page.locator(".block", has=page.get_by_role("heading", name=name))


def menu_of(page, name="Ada"):
    page.get_by_role("button", name=f"Move and more: {name}").focus()
    page.keyboard.press("Enter")
    menu = page.locator(".block-menu:popover-open")
    expect(menu).to_be_visible()
    return menu


def refresh(page):
    """What coming back to the tab does; the board asks the same every half minute."""
    with page.expect_response(lambda response: reverse("today-board") in response.url) as answered:
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    return answered.value


def test_a_visit_is_moved_by_keys_alone_and_the_move_undone(open_day, appointment, ten):
    page = open_day()
    menu_of(page)
    later = page.locator(":popover-open").get_by_role("button", name="15 minutes later")
    for _ in range(12):
        if later.evaluate("button => button === document.activeElement"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#board-said")).to_contain_text("Ada Ashdown is moved to")
    expect(page.locator("#announce")).to_contain_text("10:15, Chair A")
    expect(block_of(page).get_by_role("link")).to_be_focused()
    assert kept().starts_at == ten + QUARTER
    page.get_by_role("button", name="Undo").focus()
    page.keyboard.press("Enter")
    expect(block_of(page)).to_contain_text("10:00")
    assert kept().starts_at == ten


def test_a_visit_goes_to_the_place_beside_by_its_menu(open_day, appointment):
    page = open_day()
    menu_of(page).get_by_role("button", name="To Chair B").click()
    expect(page.locator("#board-said")).to_contain_text("Chair B")
    assert kept().place.name == "Chair B"


def carried(page, rows, column):
    """From the middle of Ada's head line to so many rows lower in that column."""
    block, lanes = block_of(page), page.locator(".board-lane")
    block.scroll_into_view_if_needed()
    box, lane = block.bounding_box(), lanes.nth(column).bounding_box()
    height = lanes.first.evaluate("lane => lane.getBoundingClientRect().height / lane.parentElement.dataset.rows")
    begin = (box["x"] + 80, box["y"] + 55)
    return begin, (lane["x"] + lane["width"] / 2, begin[1] + rows * height)


def test_a_visit_is_dragged_to_another_time_and_place_and_snaps_to_the_quarter_hour(open_day, appointment, ten):
    page = open_day()
    begin, end = carried(page, 7, 1)  # 35 minutes lower
    page.mouse.move(*begin)
    page.mouse.down()
    page.mouse.move(begin[0] + 20, begin[1] + 20)
    page.mouse.move(*end, steps=5)
    expect(page.locator(".board-ghost")).to_have_text("10:30 Chair B")
    page.mouse.up()
    expect(page.locator("#announce")).to_contain_text("10:30, Chair B")
    assert (kept().starts_at, kept().place.name) == (ten + 2 * QUARTER, "Chair B")
    expect(page.get_by_role("heading", level=1)).to_be_visible()  # the click that ends a drag opens nothing


def test_escape_puts_a_lifted_visit_back(open_day, appointment, ten):
    page = open_day()
    begin, end = carried(page, 6, 1)
    page.mouse.move(*begin)
    page.mouse.down()
    page.mouse.move(*end, steps=5)
    page.keyboard.press("Escape")
    expect(page.locator(".board-ghost")).to_have_count(0)
    page.mouse.up()
    assert (kept().starts_at, kept().place.name) == (ten, "Chair A")


def test_a_finger_lifts_after_a_rest_and_scrolls_before_it(open_day, appointment, ten):
    page = open_day(**TABLET)
    touch = page.context.new_cdp_session(page)

    def send(kind, *points):
        places = [{"x": x, "y": y} for x, y in points]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    begin, end = carried(page, 6, 1)
    send("touchStart", begin)
    expect(page.locator(".board-ghost")).to_be_visible()
    for share in (0.3, 0.6, 1.0):
        send("touchMove", tuple(a + share * (b - a) for a, b in zip(begin, end, strict=True)))
    expect(page.locator(".board-ghost")).to_have_text("10:30 Chair B")
    send("touchEnd")
    expect(page.locator("#announce")).to_contain_text("10:30, Chair B")
    assert (kept().starts_at, kept().place.name) == (ten + 2 * QUARTER, "Chair B")


def test_a_clash_is_told_in_place_and_a_free_time_takes_one_press(open_day, appointment, ten, hour_long):
    other = ClientFactory(given_name="Bea", record_consent=True)
    AppointmentFactory(client=other, kind=hour_long, place=appointment.place, starts_at=ten + 5 * QUARTER)
    page = open_day()
    menu_of(page).get_by_role("button", name="1 hour later").click()
    dialog = page.get_by_role("dialog", name="Ada Ashdown is not moved")
    expect(dialog).to_contain_text("Chair A is taken by Bea")
    free = dialog.locator(".choices button")
    expect(free).to_have_count(3)
    assert not Axe().run(page, options=OPTIONS).response["violations"]
    free.first.click()
    expect(page.locator("#board-said")).to_contain_text("Ada Ashdown is moved to")
    assert kept().starts_at != ten or kept().place.name != "Chair A"


def test_leaving_it_where_it_is_gives_the_focus_back(open_day, appointment, ten, hour_long):
    other = ClientFactory(given_name="Bea", record_consent=True)
    AppointmentFactory(client=other, kind=hour_long, place=appointment.place, starts_at=ten + 4 * QUARTER)
    page = open_day()
    menu_of(page).get_by_role("button", name="15 minutes later").click()
    page.get_by_role("link", name="Leave it where it is").click()
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(block_of(page).get_by_role("link")).to_be_focused()
    assert kept().starts_at == ten


def test_anothers_booking_appears_and_the_focus_stays(open_day, appointment, ten, hour_long):
    page = open_day()
    page.get_by_role("button", name="Move and more: Ada").focus()
    assert refresh(page).status == 204, "nothing is new yet"
    new = ClientFactory(given_name="Bea", record_consent=True)
    AppointmentFactory(client=new, kind=hour_long, place=PlaceFactory(), starts_at=ten)
    refresh(page)
    expect(block_of(page, "Bea")).to_be_visible()
    expect(page.get_by_role("button", name="Move and more: Ada")).to_be_focused()


def test_an_open_menu_is_not_taken_away(open_day, appointment, ten, hour_long):
    page = open_day()
    menu = menu_of(page)
    asked = []
    page.on("request", lambda request: asked.append(request.url) if reverse("today-board") in request.url else None)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.evaluate("new Promise(done => setTimeout(done))")
    expect(menu).to_be_visible()
    assert asked == []


def test_it_says_in_words_that_it_could_not_refresh(open_day, appointment, javascript_errors):
    page = open_day()
    page.context.set_offline(True)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator("[data-trouble]")).to_contain_text("there is no connection")
    page.context.set_offline(False)
    refresh(page)
    expect(page.locator("[data-trouble]")).to_be_hidden()
    javascript_errors.clear()  # the browser writes down that it was offline


def test_on_a_phone_it_is_a_list_in_order_of_time_and_marks_in_place(open_day, ten, hour_long, live_server):
    begun = now() - timedelta(minutes=10)
    names = ["Cleo", "Ada", "Bea"]
    for number, name in enumerate(names):
        her = ClientFactory(given_name=name, family_name="Ashdown", record_consent=True)
        AppointmentFactory(client=her, kind=hour_long, starts_at=ten + timedelta(hours=[2, 0, 1][number]))
    late = ClientFactory(given_name="Dora", family_name="Ashdown")
    AppointmentFactory(client=late, kind=hour_long, starts_at=begun)
    page = open_day(**PHONE)
    heads = page.locator(".block").get_by_role("heading", level=2)
    expect(heads).to_contain_text(["Ada", "Bea", "Cleo"])
    tops = [head.bounding_box()["y"] for head in heads.all()]
    assert tops == sorted(tops)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["viewport"]["width"]
    page.goto(live_server.url + reverse("today") + f"?day={localtime(begun, ZoneInfo('Europe/London')):%Y-%m-%d}")
    expect(block_of(page, "Dora")).to_contain_text("Consent: not signed yet")
    block_of(page, "Dora").get_by_role("button", name="Arrived: Dora").click()
    expect(block_of(page, "Dora")).to_contain_text("Arrived")
    expect(page.locator("#announce")).to_contain_text("Dora Ashdown: arrived.")


def test_turned_to_the_client_no_name_is_in_sight(open_day, appointment):
    page = open_day("Stylist")
    expect(page.get_by_text("Ada Ashdown").first).to_be_visible()
    page.get_by_role("button", name="Turn to client").click()
    expect(page.get_by_text("Ada Ashdown").locator("visible=true")).to_have_count(0)


@pytest.mark.parametrize("how", [LAPTOP, PHONE, LAPTOP | {"color_scheme": "dark"}], ids=["laptop", "phone", "dark"])
def test_axe_finds_nothing_on_the_day_in_its_menu_and_in_the_week(open_day, appointment, how, live_server, ten):
    page = open_day(**how)
    assert not Axe().run(page, options=OPTIONS).response["violations"]
    menu_of(page)
    assert not Axe().run(page, options=OPTIONS).response["violations"]
    page.goto(live_server.url + reverse("week") + f"?day={ten:%Y-%m-%d}")
    expect(page.get_by_text("Ada Ashdown")).to_be_visible()
    assert not Axe().run(page, options=OPTIONS).response["violations"]
    assert page.evaluate("document.documentElement.scrollWidth") <= how["viewport"]["width"]
