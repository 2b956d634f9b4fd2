"""Two maps on heads that turn together, on laptop and phone, by keys and without a script; a head painted twice."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.models import Repainting
from clients.repainting import begin_repainting
from clients.scalp.change_drawing import SIGN_CELLS
from tests.browser.test_every_page_is_accessible import sticking_out
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.over_time.visits_over_time import examined, painted_twice, round_loss

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"viewport": {"width": 1366, "height": 768}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
SCREENS = {"laptop": LAPTOP, "phone": PHONE, "tablet": TABLET, "dark": LAPTOP | {"color_scheme": "dark"}}
every_screen = pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS)
WHICH = ("then", "difference", "now")


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def her(stylist):
    painted_twice(5, by=stylist)
    client = examined(round_loss(30), round_loss(55), stylist=stylist)
    OwnedPieceFactory(client=client)
    return client


@pytest.fixture
def open_page(signed_in_page, live_server, stylist):
    """`open_page(name, *arguments, **context)`: that address in a window of the stylist's."""

    def open_it(name, *arguments, **context):
        page = signed_in_page(stylist, **context)
        page.goto(live_server.url + reverse(name, args=arguments))
        page.wait_for_load_state("networkidle")
        return page

    return open_it


def figure(page, which):
    return page.locator(f"[data-which={which}]")


def drawn(page, which):
    expect(figure(page, which).locator("turning-head")).to_have_attribute("data-drawn", "sharp")


def sides(page):
    """From where each head is seen, as (yaw, elevation) in whole degrees."""
    seen = page.evaluate(
        """() => [...document.querySelectorAll("turning-head")].map(({ stage }) =>
             [stage.turning.yaw, stage.turning.elevation])"""
    )
    return [tuple(round(degrees) for degrees in side) for side in seen]


def found_by_axe(page):
    return [
        f"{found['id']}: {found['nodes'][0]['target']} {found['nodes'][0]['html'][:120]}"
        for found in Axe().run(page).response["violations"]
    ]


@every_screen
def test_the_page_of_two_maps_has_nothing_that_axe_finds(open_page, her, screen):
    page = open_page("hair-compare", her.reference, **screen)
    drawn(page, "difference")
    assert found_by_axe(page) == []


@every_screen
def test_the_page_of_hair_over_time_has_nothing_that_axe_finds(open_page, her, screen):
    page = open_page("hair-over-time", her.reference, **screen)
    assert found_by_axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_on_a_laptop_three_heads_turn_together_by_button_and_by_drag(open_page, her):
    page = open_page("hair-compare", her.reference, **LAPTOP)
    for which in WHICH:
        drawn(page, which)
        expect(figure(page, which)).to_be_visible()
    page.get_by_role("group", name="View").get_by_role("button", name="Left").click()
    expect(page.get_by_role("button", name="Left", exact=True)).to_have_attribute("aria-pressed", "true")
    page.wait_for_function("() => document.querySelector('turning-head').stage.turning.yaw === 90")
    for which in WHICH:
        drawn(page, which)
    assert len(set(sides(page))) == 1
    canvas = page.get_by_role("application", name="Head, the difference between").bounding_box()
    x, y = canvas["x"] + canvas["width"] / 2, canvas["y"] + canvas["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 10, steps=4)
    page.mouse.up()
    for which in WHICH:
        drawn(page, which)
    assert len(set(sides(page))) == 1
    assert sides(page)[0] != (90, 12)


def test_by_keys_alone_any_head_turns_all(open_page, her):
    page = open_page("hair-compare", her.reference, **LAPTOP)
    drawn(page, "now")
    before = sides(page)
    page.get_by_role("application", name="Head, Now:").focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_function(
        f"() => Math.round(document.querySelector('turning-head').stage.turning.yaw) !== {before[0][0]}"
    )
    for which in WHICH:
        drawn(page, which)
    assert len(set(sides(page))) == 1


def test_on_a_phone_one_head_is_seen_and_three_buttons_choose_it(open_page, her):
    page = open_page("hair-compare", her.reference, **PHONE)
    drawn(page, "difference")
    expect(figure(page, "then")).to_be_hidden()
    page.get_by_role("button", name="Back", exact=True).click()
    choice = page.get_by_role("group", name="What to look at")
    choice.get_by_role("button", name="Now").click()
    expect(choice.get_by_role("button", name="Now")).to_have_attribute("aria-pressed", "true")
    expect(figure(page, "difference")).to_be_hidden()
    drawn(page, "now")
    assert len(set(sides(page))) == 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_difference_says_the_change_of_a_place_in_words(open_page, her):
    page = open_page("hair-compare", her.reference, **LAPTOP)
    drawn(page, "difference")
    canvas = figure(page, "difference").locator("canvas")
    box = canvas.bounding_box()
    readout = figure(page, "difference").locator(".head-readout")
    canvas.hover(position={"x": box["width"] / 2, "y": box["height"] * 0.5})
    expect(readout).to_contain_text("back")
    words = {"no change", "hair than then"}
    assert any(word in readout.inner_text() for word in words)


def test_the_signs_stand_on_the_same_cells_as_the_server_draws(open_page, her, live_server):
    page = open_page("hair-compare", her.reference, **LAPTOP)
    script = "async (address) => (await import(address)).SIGN_CELLS"
    assert page.evaluate(script, f"{live_server.url}/static/js/head-signs.js") == list(SIGN_CELLS)


def test_without_a_script_all_three_stand_flat_and_can_be_chosen(open_page, her):
    page = open_page("hair-compare", her.reference, java_script_enabled=False, **PHONE)
    for which in WHICH:
        expect(figure(page, which).locator("svg.scalp-picture").first).to_be_visible()
    expect(page.get_by_role("group", name="What to look at")).to_be_hidden()
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_role("heading", name="In words")).to_be_visible()


def paint_front_zone(page, percent):
    page.get_by_label("Crown", exact=True).fill(str(percent))
    page.get_by_label("Crown", exact=True).press("Tab")


@pytest.mark.parametrize("screen", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_a_head_is_painted_twice_and_the_second_starts_from_nothing(open_page, stylist, screen):
    page = open_page("repainting-new", **screen)
    assert found_by_axe(page) == []
    page.get_by_label("Whose head").select_option(label="Top, clearly thinner")
    page.get_by_role("button", name="Begin").click()
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    expect(page.get_by_role("button", name="Start from this pattern")).to_have_count(0)
    assert found_by_axe(page) == []
    paint_front_zone(page, 40)
    page.get_by_role("button", name="The first painting is done").click()
    expect(page.get_by_role("heading", name="Between the two paintings")).to_be_visible()
    page.wait_for_function("() => Object.keys(localStorage).every((place) => !place.startsWith('turning-head:'))")
    page.get_by_role("link", name="Paint it the second time").click()
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    expect(page.get_by_label("Crown", exact=True)).to_have_value("100")
    paint_front_zone(page, 50)
    page.get_by_role("button", name="The second painting is done").click()
    expect(page.get_by_role("heading", name="How far the two lie apart")).to_be_visible()
    assert found_by_axe(page) == []
    assert Repainting.objects.finished().count() == 1


def test_strokes_of_the_first_painting_wait_on_this_device(open_page, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="top-2")
    page = open_page("repainting", one.reference, **LAPTOP)
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    paint_front_zone(page, 30)
    page.reload()
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    expect(page.get_by_label("Crown", exact=True)).to_have_value("30")


def test_the_second_painting_takes_no_wrong_number_and_both_are_shown_side_by_side(open_page, her, javascript_errors):
    page = open_page("repaintings", **PHONE)
    page.get_by_role("link", name="Paint a head twice").click()
    whose = page.get_by_role("option", name=re.compile(f"^{her}, examined on")).get_attribute("value")
    page.get_by_label("Whose head").select_option(whose)
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("link", name="Paint it the second time").click()
    head = page.locator("turning-head[data-drawn=sharp]")
    head.wait_for()
    paint_front_zone(page, 45)
    page.get_by_label("Front", exact=True).fill("450")
    page.get_by_role("button", name="The second painting is done").click()
    expect(page.get_by_role("alert").get_by_text("Front: Write a whole number from 0 to 100")).to_be_in_viewport()
    head.wait_for()
    expect(page.get_by_label("Front", exact=True)).to_have_value("450")
    expect(page.get_by_label("Crown", exact=True)).to_have_value("45")
    page.get_by_label("Front", exact=True).fill("95")
    page.get_by_role("button", name="The second painting is done").click()
    expect(page.get_by_role("figure", name="First painting")).to_be_visible()
    expect(page.get_by_role("figure", name="Second painting")).to_contain_text("Front 95 %")
    assert sticking_out(page) == []
    assert Repainting.objects.latest("pk").assessment.client == her
    javascript_errors.clear()  # the browser reports the refused page's status 422
