"""The steps of an examination by finger, by keyboard alone and without a script; each of them for everybody."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.assessing import begin_assessment, save_map
from clients.models import Assessment
from clients.scalp.head import Head
from clients.scalp.patterns import pattern_start
from tests.pieces.factories import ShadeFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SAVED = re.compile(r"^Saved at \d\d:\d\d\.$")


def state(page):
    return page.locator("[data-save-state]")


def press_tab_to(page, target, most=120):
    """As somebody without a mouse gets there; fails when Tab never reaches it."""
    for _ in range(most):
        if target.evaluate("field => field === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"Tab does not reach {target}")


# The map and the ring


def test_a_painted_stroke_saves_itself(page, address, stored):
    page.goto(address("map"))
    page.locator("canvas").focus()
    page.keyboard.press("1")
    page.keyboard.press("Space")
    page.keyboard.press("Space")
    expect(state(page)).to_have_text(SAVED)
    expect(page.get_by_role("region", name="What the map shows")).to_contain_text("% of her scalp hair is gone")
    assert stored().map_painted
    page.reload()
    expect(page.get_by_text("kept on this device")).to_have_count(0)


def test_a_zone_typed_on_a_painted_map_leaves_the_other_zones_alone(page, address, stored, stylist):
    painted = pattern_start("temples", Head.from_tapes()).to_hex()
    save_map(assessment=stored(), revision=0, by=stylist, density_hex=painted)
    page.goto(address("map"))
    page.get_by_label("Nape").fill("40")
    page.get_by_label("Nape").blur()
    expect(state(page)).to_have_text(SAVED)
    same = [stored().density_hex[cell : cell + 2] == painted[cell : cell + 2] for cell in range(0, 8192, 2)]
    assert 0 < same.count(False) < 400


def test_the_ring_is_searched_and_one_tap_reads_a_zone(page, address, stored):
    ShadeFactory(code="walnut-1", name="Walnut")
    fawn = ShadeFactory(code="fawn-2", name="Fawn")
    page.goto(address("own-hair"))
    page.get_by_label("Find a shade").press_sequentially("fawn")
    expect(page.get_by_label("Roots as walnut-1")).to_be_hidden()
    page.get_by_label("Ends as fawn-2").check()
    expect(state(page)).to_have_text(SAVED)
    assert stored().readings.get().lab == fawn.lab()["ends"]


# Without a script, without a mouse, for everybody


def test_without_a_script_the_buttons_and_the_table_do(signed_in_page, stylist, address, stored, javascript_errors):
    page = signed_in_page(stylist, java_script_enabled=False)
    page.goto(address("tapes"))
    page.get_by_label("Circumference").fill("22 in")
    page.get_by_role("button", name="Go on: map").click()
    page.get_by_label("Crown").fill("20")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("% of her scalp hair is gone")).to_be_visible()
    page.get_by_label("Crown").fill("200")
    page.get_by_role("button", name="Go on: own hair").click()
    expect(page.get_by_text("Write a whole number from 0 to 100")).to_be_visible()
    assert float(stored().circumference_mm) == 558.8
    assert stored().map_painted
    assert len(javascript_errors) == 1
    javascript_errors.clear()  # the browser reports the refused page's status 422


def test_all_steps_by_keyboard_alone(page, address, stored, visit):
    shade = ShadeFactory(code="walnut-1", name="Walnut")

    def go_on(following):
        press_tab_to(page, page.get_by_role("button", name=f"Go on: {following}"))
        page.keyboard.press("Enter")

    page.goto(address("story"))
    press_tab_to(page, page.get_by_label("What she tells"))
    page.keyboard.type("Since the winter.")
    press_tab_to(page, page.get_by_label("Went through the signs with her"))
    page.keyboard.press("Space")
    press_tab_to(page, page.locator("input[name=chemotherapy]:checked"))
    page.keyboard.press("ArrowRight")
    go_on("tapes")
    expect(page).to_have_url(address("tapes"))
    press_tab_to(page, page.get_by_label("Circumference"))
    page.keyboard.type("22 1/8 in")
    go_on("map")
    expect(page).to_have_url(address("map"))
    press_tab_to(page, page.get_by_label("Crown"))
    page.keyboard.press("Control+A")
    page.keyboard.type("20")
    go_on("own hair")
    expect(page).to_have_url(address("own-hair"))
    press_tab_to(page, page.locator("input[name=curl_pattern]:checked"))
    page.keyboard.press("ArrowRight")
    press_tab_to(page, page.locator("input[name=ring_root]:checked"))
    page.keyboard.press("ArrowDown")
    go_on("wishes")
    expect(page).to_have_url(address("wishes"))
    press_tab_to(page, page.get_by_label("Would spend up to"))
    page.keyboard.type("1,250")
    go_on("sign off")
    expect(page).to_have_url(address("sign-off"))
    press_tab_to(page, page.get_by_role("button", name="Sign off as Imke Valcourt"))
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/candidates/$"))
    signed = stored()
    assert (signed.state, signed.story, signed.chemotherapy) == ("signed off", "Since the winter.", "none")
    assert (float(signed.circumference_mm), signed.curl_pattern, signed.budget_minor) == (562.0, "straight", 125000)
    assert signed.map_painted
    assert signed.readings.get().lab == shade.lab()["root"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("step", ["story", "tapes", "map", "own-hair", "wishes", "sign-off"])
def test_axe_finds_nothing(signed_in_page, stylist, address, step, scheme):
    ShadeFactory()
    page = signed_in_page(stylist, color_scheme=scheme)
    page.goto(address(step))
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_everything_to_press_is_large_enough_for_a_wet_hand(signed_in_page, stylist, address):
    ShadeFactory()
    page = signed_in_page(stylist, viewport={"width": 390, "height": 844})
    for step in ("story", "tapes", "own-hair", "wishes", "sign-off"):
        page.goto(address(step))
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, f"{step} scrolls sideways"
        small = page.evaluate(
            """() => [...document.querySelectorAll("main :is(button, .pills label, .ring-choice, .form-control)")]
                .map((field) => [field.textContent.trim() || field.id, field.getBoundingClientRect()])
                .filter(([, box]) => box.height > 0 && (box.height < 43.5 || box.width < 43.5))
                .map(([name]) => name)"""
        )
        assert small == [], f"{step}: {small}"


def test_the_last_answer_stands_beside_what_is_asked_anew(page, address, stored, visit, stylist):
    """An assessment that starts from another keeps its drafts apart from the old one's."""
    page.goto(address("story"))
    page.get_by_label("Sound", exact=True).check()
    expect(state(page)).to_have_text(SAVED)
    old = stored()
    Assessment.objects.filter(pk=old.pk).update(
        state="signed off", signed_by=stylist, signed_at=now().replace(year=2024, month=5, day=3)
    )
    visit.assessment = begin_assessment(client=visit.client, stylist=stylist, at=now())
    visit.save()
    page.goto(address("story"))
    expect(page.get_by_text("On 3 May 2024: Sound.")).to_be_visible()
    expect(page.get_by_label("Sound", exact=True)).not_to_be_checked()
