"""The steps of an examination in a browser: they save themselves, survive a dropped connection, and need no mouse."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.assessing import begin_assessment, save_map, save_wishes
from clients.models import Assessment
from clients.scalp.head import Head
from clients.scalp.patterns import pattern_start
from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory
from tests.pieces.factories import ShadeFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SAVED = re.compile(r"^Saved at \d\d:\d\d\.$")
OFFLINE = "Not saved yet: no connection. Kept on this device."


class Complaints(list):
    """What the pages complained about, without the browser's own report of a connection that a test took away."""

    def append(self, line):
        if "ERR_INTERNET_DISCONNECTED" not in line:
            super().append(line)


@pytest.fixture
def javascript_errors():
    return Complaints()


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def visit(stylist):
    her = ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True)
    return begin_visit(client=her, stylist=stylist, at=now())


@pytest.fixture
def page(signed_in_page, stylist):
    return signed_in_page(stylist)


@pytest.fixture
def address(live_server, visit):
    return lambda step: live_server.url + reverse(f"consult-{step}", args=[visit.reference])


@pytest.fixture
def stored(visit):
    return lambda: Assessment.objects.get(pk=visit.assessment_id)


def state(page):
    return page.locator("[data-save-state]")


def kept_on(page):
    return page.evaluate("Object.keys(localStorage).filter((place) => place.startsWith('auto-save:'))")


def press_tab_to(page, target, most=120):
    """As somebody without a mouse gets there; fails when Tab never reaches it."""
    for _ in range(most):
        if target.evaluate("field => field === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"Tab does not reach {target}")


def tablet_dies(page):
    """The page is gone from one moment to the next, without a last word to the server."""
    page.evaluate("void (window.fetch = () => new Promise(() => {}))")
    page.goto("about:blank")


# Saving by itself


def test_a_step_saves_itself_a_moment_after_a_change(page, address, stored):
    page.goto(address("story"))
    expect(state(page)).to_have_text("Nothing is written down yet.")
    page.get_by_label("What she tells").fill("Since the winter.")
    page.get_by_label("Red or sore", exact=True).check()
    page.get_by_label("Latex", exact=True).check()
    expect(state(page)).to_have_text(SAVED)
    assert (stored().story, stored().scalp_condition) == ("Since the winter.", "inflamed")
    assert [told.substance for told in stored().client.sensitivities.all()] == ["latex"]
    assert kept_on(page) == []


def test_an_answer_can_be_taken_back(page, address, stored):
    page.goto(address("wishes"))
    fringe = page.get_by_role("group", name="Wants a fringe")
    fringe.get_by_label("Yes").check()
    expect(state(page)).to_have_text(SAVED)
    assert stored().wants_fringe == "yes"
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        fringe.get_by_label("Not asked").check()
    assert stored().wants_fringe == ""


def test_a_ticked_sign_shows_the_advice_at_once(page, address):
    page.goto(address("story"))
    advice = page.get_by_text("The salon fits hair and diagnoses nothing.")
    expect(advice).to_be_hidden()
    page.get_by_label("Pain or burning", exact=True).check()
    expect(advice).to_be_visible()


def test_her_head_follows_the_tapes(page, address):
    page.goto(address("tapes"))
    beside = page.get_by_role("region", name="Her head")
    expect(beside).to_contain_text("661 cm²")
    page.get_by_label("Circumference").fill("20 in")
    page.get_by_label("Front to nape").fill("13 in")
    page.get_by_label("Ear to ear over the top").fill("12 in")
    expect(beside).to_contain_text("545 cm²")  # worked in the design's reference: 20/13/12 in give 545 cm²
    expect(beside).to_contain_text("Doubtful")


def test_a_wrong_value_gets_its_sentence_beside_it_once_it_is_left(page, address, stored):
    page.goto(address("own-hair"))
    page.get_by_label("Fine", exact=True).check()
    expect(state(page)).to_have_text(SAVED)
    roots = page.get_by_role("group", name="Roots")
    roots.get_by_label("L*").fill("25")
    expect(state(page)).to_contain_text("Not saved yet")
    sentence = page.get_by_text("Roots: a* and b* still to come")
    expect(sentence).to_be_hidden()  # half a reading is no mistake while she types it
    page.get_by_label("Grey, by eye (%)").fill("30")
    expect(sentence).to_be_visible()
    expect(roots.get_by_label("L*")).to_have_attribute("aria-invalid", "true")
    assert stored().grey_percent is None
    roots.get_by_label("a*").fill("5")
    roots.get_by_label("b*").fill("9")
    expect(state(page)).to_have_text(SAVED)
    expect(sentence).to_have_count(0)
    assert stored().grey_percent == 30


def test_going_on_waits_for_what_is_wrong(page, address):
    page.goto(address("tapes"))
    page.get_by_label("Circumference").fill("9 m")
    page.get_by_role("button", name="Go on: map").click()
    expect(page.get_by_text("Take it again", exact=False).or_(page.get_by_text("is not a unit"))).to_be_visible()
    expect(page).to_have_url(address("tapes"))
    expect(page.get_by_label("Circumference")).to_be_focused()
    page.get_by_label("Circumference").fill("56")
    page.get_by_role("button", name="Go on: map").click()
    expect(page).to_have_url(address("map"))


def test_leaving_at_once_still_saves(page, address, stored):
    page.goto(address("tapes"))
    page.get_by_label("Circumference").fill("56")
    page.get_by_role("link", name="Wishes").click()
    expect(page.get_by_role("heading", name="Wishes", level=1)).to_be_visible()
    page.get_by_role("link", name="Tapes").click()
    # on a slow machine the page may be back before the save has arrived; it then shows what this device kept
    expect(page.get_by_label("Circumference")).to_have_value(re.compile(r"^56(\.0 cm)?$"))
    expect(page.get_by_text("Saved twice")).to_have_count(0)
    page.wait_for_function("Object.keys(localStorage).every((place) => !place.startsWith('auto-save:'))")
    page.reload()
    expect(page.get_by_label("Circumference")).to_have_value("56.0 cm")


# A dropped connection


def test_a_dropped_connection_loses_nothing_and_saves_when_it_is_back(page, address, stored):
    page.goto(address("story"))
    page.context.set_offline(True)
    page.get_by_label("What she tells").fill("Told while the line was down.")
    expect(state(page)).to_have_text(OFFLINE)
    page.get_by_role("button", name="Go on: tapes").click()
    expect(page).to_have_url(address("story"))
    assert stored().story == ""
    page.context.set_offline(False)
    expect(state(page)).to_have_text(SAVED)
    assert stored().story == "Told while the line was down."
    assert kept_on(page) == []


def test_what_was_kept_comes_back_after_a_reload_and_says_so(page, address, stored):
    page.goto(address("story"))
    page.context.set_offline(True)
    page.get_by_label("What she tells").fill("Kept on the tablet.")
    page.get_by_label("Heavy itching", exact=True).check()
    page.get_by_label("Planned", exact=True).check()
    expect(state(page)).to_have_text(OFFLINE)
    tablet_dies(page)
    page.context.set_offline(False)
    page.goto(address("story"))
    expect(page.get_by_label("What she tells")).to_have_value("Kept on the tablet.")
    expect(page.get_by_label("Heavy itching")).to_be_checked()
    expect(page.get_by_label("Planned")).to_be_checked()
    expect(page.get_by_text("had not reached the server and has come back")).to_be_visible()
    expect(state(page)).to_have_text(SAVED)
    assert (stored().story, stored().referral_signs) == ("Kept on the tablet.", ["itch"])


def test_strokes_survive_a_dropped_connection(page, address, stored):
    page.goto(address("map"))
    page.context.set_offline(True)
    page.get_by_label("Crown").fill("20")
    page.get_by_label("Crown").blur()
    expect(state(page)).to_have_text(OFFLINE)
    tablet_dies(page)
    page.context.set_offline(False)
    page.goto(address("map"))
    expect(page.get_by_label("Crown")).to_have_value("20")
    expect(state(page)).to_have_text(SAVED)
    assert stored().map_painted


def test_signing_is_told_what_never_reached_the_server(page, address):
    page.goto(address("wishes"))
    page.context.set_offline(True)
    page.get_by_label("In her own words").fill("A fringe, perhaps.")
    expect(state(page)).to_have_text(OFFLINE)
    tablet_dies(page)
    page.context.set_offline(False)
    page.goto(address("sign-off"))
    notice = page.get_by_text("has not reached the server yet")
    expect(notice).to_be_visible()
    notice.get_by_role("link", name="Wishes").click()
    expect(state(page)).to_have_text(SAVED)
    page.goto(address("sign-off"))
    expect(page.get_by_text("A fringe, perhaps.")).to_be_visible()
    expect(page.get_by_text("has not reached the server yet")).to_be_hidden()


def test_somebody_signed_out_keeps_what_she_typed(page, address):
    page.goto(address("story"))
    page.context.clear_cookies(name="sessionid")
    page.get_by_label("Since when").fill("last spring")
    expect(state(page)).to_contain_text("you are signed out")
    assert len(kept_on(page)) == 1


# Two tabs


def test_a_step_saved_twice_shows_both_and_keeps_what_she_chooses(page, address, stored):
    other = page.context.new_page()
    for tab in (page, other):
        tab.goto(address("wishes"))
    other.get_by_label("In her own words").fill("Long")
    expect(state(other)).to_have_text(SAVED)
    page.get_by_label("In her own words").fill("Short")
    both = page.get_by_role("alert").filter(has_text="Saved twice")
    expect(both).to_contain_text("by Imke Valcourt")
    expect(both.get_by_role("row", name="In her own words")).to_have_text(re.compile(r"Short\s*Long"))
    expect(page.get_by_label("In her own words")).to_have_value("Short")
    assert stored().wishes == "Long"
    both.get_by_role("button", name="Keep what is typed here").click()
    expect(state(page)).to_have_text(SAVED)
    assert stored().wishes == "Short"
    other.get_by_label("In her own words").fill("Longer")
    other.get_by_role("button", name="Use what is saved").click()
    expect(other.get_by_label("In her own words")).to_have_value("Short")


def test_another_step_saved_in_another_tab_disturbs_nobody(page, address, stored):
    other = page.context.new_page()
    page.goto(address("wishes"))
    other.goto(address("story"))
    other.get_by_label("What she tells").fill("Meanwhile")
    expect(state(other)).to_have_text(SAVED)
    page.get_by_label("In her own words").fill("Short")
    expect(state(page)).to_have_text(SAVED)
    assert (stored().story, stored().wishes) == ("Meanwhile", "Short")


def test_what_was_kept_and_then_saved_elsewhere_is_laid_beside_it(page, address, stored, stylist):
    page.goto(address("wishes"))
    page.context.set_offline(True)
    page.get_by_label("In her own words").fill("Short")
    expect(state(page)).to_have_text(OFFLINE)
    tablet_dies(page)
    save_wishes(assessment=stored(), revision=0, by=stylist, wishes="Long")
    page.context.set_offline(False)
    page.goto(address("wishes"))
    expect(page.get_by_role("row", name="In her own words")).to_have_text(re.compile(r"Short\s*Long"))
    expect(page.get_by_label("In her own words")).to_have_value("Long")
    page.get_by_role("button", name="Keep what is typed here").click()
    expect(page.get_by_label("In her own words")).to_have_value("Short")
    expect(state(page)).to_have_text(SAVED)
    assert stored().wishes == "Short"


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
