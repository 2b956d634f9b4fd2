"""Naming the pattern in a browser: painted, suggested, pressed, signed, and read on the assessment's page."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from clients.assessing import save_map
from clients.scalp.head import Head
from clients.scalp.patterns import pattern_start

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SAVED = re.compile(r"^Saved at \d\d:\d\d\.$")
TOP = pattern_start("top-2", Head.from_tapes()).to_hex()


def state(page):
    return page.locator("[data-save-state]")


def suggestions(page):
    return page.get_by_role("region", name="What the map shows")


def stage(page, name):
    return page.get_by_role("radio", name=name, exact=True)


def open_scale(page, label):
    page.locator("summary", has_text=label).click()


def test_a_stage_is_suggested_pressed_signed_and_read_back(page, address, stored, live_server):
    page.goto(address("map"))
    expect(suggestions(page)).not_to_contain_text("Suggested from the map")
    page.get_by_label("Pattern", exact=True).select_option("degree II: top, clearly thinner")
    page.get_by_role("button", name="Start from this pattern").click()
    expect(suggestions(page)).to_contain_text("Suggested from the map; you decide")
    expect(suggestions(page)).to_contain_text("Ludwig 1977, degree II, near.")
    assert (stored().density_hex, stored().scale) == (TOP, "")  # suggested, and not set

    suggestions(page).get_by_role("button", name="Name it so (Ludwig 1977, degree II)").click()
    pressed = stage(page, "Ludwig 1977, degree II")
    expect(pressed).to_be_checked()
    expect(pressed).to_be_focused()
    expect(suggestions(page)).to_contain_text("You named it so.")
    expect(state(page)).to_have_text(SAVED)
    assert (stored().scale, stored().stage) == ("ludwig", "II")
    page.reload()
    expect(stage(page, "Ludwig 1977, degree II")).to_be_checked()
    expect(page.get_by_text("has come back")).to_have_count(0)

    page.goto(address("sign-off"))
    expect(page.get_by_text("Ludwig 1977, degree II. The same part of the top")).to_be_visible()
    page.get_by_role("button", name="Sign off as Imke Valcourt").click()
    page.goto(live_server.url + reverse("assessment", args=[stored().reference]))
    expect(page.get_by_text("Ludwig 1977, degree II. The same part of the top")).to_be_visible()
    expect(page.get_by_text("Named by the stylist; no diagnosis.")).to_be_visible()


def test_another_stage_than_the_suggested_one_can_be_pressed_and_taken_back(page, address, stored, stylist):
    save_map(assessment=stored(), revision=0, by=stylist, density_hex=TOP)
    page.goto(address("map"))
    open_scale(page, "Sinclair 2004")
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        stage(page, "Sinclair 2004, grade 4").check()
    assert (stored().scale, stored().stage) == ("sinclair", "4")
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        stage(page, "No stage").check()
    assert (stored().scale, stored().stage) == ("", "")


def test_painting_more_leaves_the_name_and_suggests_anew(page, address, stored, stylist):
    save_map(assessment=stored(), revision=0, by=stylist, density_hex=TOP, scale="ludwig", stage="I")
    page.goto(address("map"))
    page.get_by_label("Pattern", exact=True).select_option("degree III: top, almost no hair")
    page.get_by_role("button", name="Start from this pattern").click()
    page.get_by_role("button", name="Replace it").click()
    expect(suggestions(page)).to_contain_text("Ludwig 1977, degree III, near.")
    assert (stored().scale, stored().stage) == ("ludwig", "I")


def test_a_stage_pressed_before_the_tablet_died_comes_back_and_is_saved(page, address, stored):
    page.goto(address("map"))
    page.evaluate("void (window.fetch = () => new Promise(() => {}))")  # nothing reaches the server any more
    open_scale(page, "Olsen 1999")
    stage(page, "Olsen 1999, frontal").check()
    page.wait_for_function("() => Object.keys(localStorage).some((place) => place.startsWith('auto-save:'))")
    page.goto("about:blank")
    page.goto(address("map"))
    expect(page.get_by_text("had not reached the server and has come back")).to_be_visible()
    open_scale(page, "Olsen 1999")
    expect(stage(page, "Olsen 1999, frontal")).to_be_checked()
    expect(state(page)).to_have_text(SAVED)
    assert (stored().scale, stored().stage) == ("olsen", "front")


def test_strokes_that_left_with_the_page_raise_no_alarm_when_it_comes_back(page, address, stored):
    """The form keeps a stage on this device beside the strokes; alone it must not look like a map that went missing."""
    page.goto(address("map"))
    page.locator("canvas").focus()
    page.keyboard.press("1")
    page.keyboard.press("Space")
    page.goto(address("wishes"))
    page.goto(address("map"))
    page.wait_for_function("() => Object.keys(localStorage).every((place) => !place.startsWith('auto-save:'))")
    expect(page.get_by_text("did not come with the page")).to_have_count(0)
    expect(page.get_by_text("Saved twice")).to_have_count(0)
    assert stored().map_painted


def test_without_a_script_a_stage_is_pressed_in_its_list(signed_in_page, stylist, address, stored):
    save_map(assessment=stored(), revision=0, by=stylist, density_hex=TOP)
    page = signed_in_page(stylist, java_script_enabled=False)
    page.goto(address("map"))
    expect(page.get_by_role("button", name="Name it so")).to_have_count(0)
    open_scale(page, "Ludwig 1977")
    stage(page, "Ludwig 1977, degree II").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("You named it so.")).to_be_visible()
    assert (stored().scale, stored().density_hex) == ("ludwig", TOP)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_with_every_scale_open_and_all_fits_a_phone(signed_in_page, stylist, address, stored, scheme):
    save_map(assessment=stored(), revision=0, by=stylist, density_hex=TOP, scale="norwood", stage="III vertex")
    page = signed_in_page(stylist, color_scheme=scheme, viewport={"width": 390, "height": 844})
    page.goto(address("map"))
    for label in ("Ludwig 1977", "Sinclair 2004", "Olsen 1999", "Why none of the others"):
        open_scale(page, label)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    small = page.evaluate(
        """() => [...document.querySelectorAll(".stage, .scale summary, stage-suggestion button")]
            .map((pressed) => pressed.getBoundingClientRect())
            .filter((box) => box.height < 43.5 || box.width < 43.5).length"""
    )
    assert small == 0
