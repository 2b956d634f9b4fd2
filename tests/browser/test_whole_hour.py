"""The whole hour beside the chair, from a name at the desk to the paper in the client's hand, at tablet size."""

import io
import re
import subprocess

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect
from pypdf import PdfReader

from fittings.models import Fitting
from salon.demo.catalogue_loading import load_catalogue
from tests.factories import OwnerFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def salon():
    """A salon with its drawers full, a room and a kind of visit."""
    load_catalogue(by=OwnerFactory())
    PlaceFactory(name="Quiet room", sort="room")
    ServiceKindFactory(name="Consult")


def pill(page, group, answer):
    """Tap one answer of a question."""
    page.get_by_role("group", name=group, exact=True).get_by_role("radio", name=answer, exact=True).click()


def sound(page):
    """axe finds nothing on this page."""
    found = Axe().run(page)
    assert found.violations_count == 0, f"{page.url}: {found.generate_report()}"


def saved(page):
    expect(page.locator("[data-save-state]")).to_contain_text("Saved at", timeout=15_000)


def go_on(page, heading):
    page.get_by_role("button", name=re.compile("^Go on")).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(heading))


def register(page, live_server):
    """At the desk: a new client, her consent, her appointment is left out (the desk's own tests book)."""
    page.goto(live_server.url + "/clients/new/")
    page.get_by_label("Given name").fill("Maren")
    page.get_by_label("Family name").fill("Holloway")
    page.get_by_text("More", exact=True).click()
    page.get_by_label("Date of birth").fill("1968-04-09")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Maren Holloway")


def sign_record_consent(page):
    page.get_by_role("link", name=re.compile("consent|Sign or withdraw", re.IGNORECASE)).first.click()
    card = page.locator("#record")
    card.get_by_role("textbox").first.fill("Maren Holloway")
    card.get_by_role("button", name="I agree and sign").click()
    expect(page.locator("#record")).to_contain_text("Signed by Maren Holloway")
    page.get_by_role("link", name="Maren Holloway").first.click()


def paper_of(page, live_server, fitting):
    """The summary's pages as text, and as one picture each."""
    answer = page.request.get(f"{live_server.url}/fittings/{fitting.reference}/summary.pdf")
    assert answer.ok, answer.status
    assert answer.headers["content-type"] == "application/pdf"
    text = "\n".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.body())).pages)
    drawn = subprocess.run(
        ["pdftoppm", "-r", "60", "-png", "-f", "1", "-l", "1", "-"],
        input=answer.body(),
        capture_output=True,
        check=True,
    ).stdout
    return text, Image.open(io.BytesIO(drawn)).convert("RGB")


def test_the_whole_hour_by_touch_and_mouse(salon, staff_page, live_server, javascript_errors):
    page = staff_page("Stylist", viewport={"width": 820, "height": 1180})
    register(page, live_server)
    sign_record_consent(page)
    sound(page)
    page.get_by_role("button", name="Begin a visit").click()

    # story
    expect(page.get_by_role("heading", level=1)).to_have_text("Story")
    page.get_by_label("What she tells").fill("Thinner on top since spring; ponytail half as thick.")
    page.get_by_label("Went through the signs with her").check()
    pill(page, "Chemotherapy", "No")
    pill(page, "Scalp", "Sound")
    pill(page, "Broken hair, soreness or thinning where something pulled", "No")
    page.get_by_label("Asked about reactions").check()
    saved(page)
    sound(page)
    go_on(page, "Tapes")

    # tapes: an impossible one is refused and keeps what was typed, inches are taken
    page.get_by_label("Circumference").fill("22")
    page.get_by_label("Circumference").blur()
    expect(page.get_by_text(re.compile("can't be a circumference"))).to_be_visible()
    javascript_errors.clear()  # the browser notes the refused save on its console
    page.get_by_label("Circumference").fill("22 in")
    page.get_by_label("Front to nape").fill("14 in")
    page.get_by_label("Ear to ear over the top").fill('13 1/2"')
    saved(page)
    sound(page)
    go_on(page, "map")

    # loss map: two strokes over the crown
    canvas = page.locator("turning-head canvas").first
    page.locator("turning-head").get_by_role("radio", name=re.compile("a quarter left")).click()
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    middle, top = box["x"] + box["width"] / 2, box["y"]
    for lane in (-40, 0, 40):
        page.mouse.move(middle + lane, top + box["height"] * 0.42)
        page.mouse.down()
        page.mouse.move(middle + lane, top + box["height"] * 0.62, steps=8)
        page.mouse.up()
    saved(page)
    expect(page.locator("#beside")).to_contain_text(re.compile(r"\d+\s%"))
    sound(page)
    go_on(page, "Own hair")

    # own hair: typed from an instrument
    page.get_by_label("Length", exact=True).fill("25 cm")
    pill(page, "Curl pattern", "Straight")
    pill(page, "Own hair behind the ears", "Yes")
    for zone, lab in (("Roots", "25.4 5.5 9.1"), ("Mid-length", "26.2 5.8 9.7"), ("Ends", "27.6 5.9 10.3")):
        for axis, value in zip(("L*", "a*", "b*"), lab.split(), strict=True):
            page.get_by_role("group", name=zone, exact=True).get_by_label(axis, exact=True).fill(value)
    saved(page)
    sound(page)
    go_on(page, "Wishes")

    # wishes
    pill(page, "Wants to style it with heat", "Yes")
    pill(page, "Would wear it, days a week", "6")
    pill(page, "Would sleep in it", "No")
    page.get_by_label("Would spend up to").fill("1500")
    saved(page)
    sound(page)
    go_on(page, "Sign off")
    page.get_by_role("button", name=re.compile("^Sign off as")).click()

    # candidates: argue with the first one, choose two
    expect(page.get_by_role("heading", level=1)).to_have_text("Candidates for Maren Holloway")
    first = page.locator("article.candidate").first
    name = first.get_by_role("heading").inner_text()
    slider = first.get_by_role("slider")
    before = first.locator(".seat-facts").inner_text()
    slider.focus()
    slider.press("Home")
    expect(first.locator(".seat-facts")).not_to_have_text(before)
    sound(page)
    first.get_by_role("button", name="Try this one").click()
    page.get_by_role("button", name="Try this one").first.click()
    expect(page.get_by_role("heading", name="To try: 2 of 5")).to_be_visible()
    page.get_by_role("link", name="Try them on").click()

    # a try-on in three taps
    sound(page)
    card = page.locator("section.card", has=page.get_by_role("heading", name=name))
    for group in ("Covers", "Sits", "Matches"):
        card.get_by_role("group", name=group).get_by_role("radio", name="Well").click()
    expect(page.get_by_text(f"Kept how {name} did.")).to_be_visible()
    sound(page)
    page.get_by_role("link", name="On to the decision").click()

    # decision, a cut-in, the end
    page.get_by_role("group", name="She takes").get_by_role("radio", name=re.compile(f"^{name}")).click()
    page.get_by_label("Why this one").fill("It sits like her own.")
    page.get_by_role("button", name="Keep the decision").click()
    sound(page)
    page.get_by_role("link", name="Plan or log services").click()
    page.get_by_role("navigation", name="Plan a service").get_by_role("link", name="Cut-in").click()
    page.get_by_role("group", name="Done to").get_by_role("radio", name=re.compile("chosen to try")).first.check()
    page.get_by_label("Price").fill("45")
    sound(page)
    page.get_by_role("button", name="Plan it").click()
    page.get_by_role("link", name="Back to the decision").click()
    sound(page)
    page.get_by_role("button", name="Finish and print the summary").click()
    expect(page.get_by_text("The visit is finished.")).to_be_visible()
    sound(page)

    fitting = Fitting.objects.get()
    text, picture = paper_of(page, live_server, fitting)
    for words in (fitting.client.reference, name, "It sits like her own.", "45.00", "not medical advice"):
        assert words in text, words
    red, green, blue = np.moveaxis(np.asarray(picture, dtype=int), -1, 0)
    brown = int(np.sum((red > 60) & (red < 200) & (red > green) & (green > blue) & (red - blue > 40)))
    assert brown > 500, "the head is drawn on the first page"


def tab_to(page, locator):
    """Reach a control by Tab alone."""
    handle = locator.element_handle()
    for _ in range(200):
        if page.evaluate("el => document.activeElement === el", handle):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never reached {locator}")


def press(page, locator, key="Enter"):
    tab_to(page, locator)
    page.keyboard.press(key)


def write(page, locator, text):
    tab_to(page, locator)
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type(text)


def choose(page, group, number):
    """Reach a group of radio buttons by Tab and go down so many answers by arrow."""
    radios = group.get_by_role("radio")
    for at in range(radios.count()):
        if radios.nth(at).is_checked():
            tab_to(page, radios.nth(at))
            for _ in range(number - at):
                page.keyboard.press("ArrowRight")
            return
    tab_to(page, radios.first)
    page.keyboard.press("Space")
    for _ in range(number):
        page.keyboard.press("ArrowRight")


def test_the_whole_hour_by_keyboard_alone(salon, staff_page, live_server):
    page = staff_page("Stylist", viewport={"width": 820, "height": 1180})
    page.goto(live_server.url + "/clients/new/")
    write(page, page.get_by_label("Given name"), "Maren")
    write(page, page.get_by_label("Family name"), "Holloway")
    press(page, page.get_by_text("More", exact=True))
    tab_to(page, page.get_by_label("Date of birth"))
    page.keyboard.type("09041968")
    press(page, page.get_by_role("button", name="Save", exact=True))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Maren Holloway")
    press(page, page.get_by_role("link", name=re.compile("consent|Sign or withdraw", re.IGNORECASE)).first)
    card = page.locator("#record")
    write(page, card.get_by_role("textbox").first, "Maren Holloway")
    press(page, card.get_by_role("button", name="I agree and sign"))
    expect(page.locator("#record")).to_contain_text("Signed by Maren Holloway")
    press(page, page.get_by_role("link", name="Maren Holloway").first)
    press(page, page.get_by_role("button", name="Begin a visit"))

    expect(page.get_by_role("heading", level=1)).to_have_text("Story")
    press(page, page.get_by_label("Went through the signs with her"), "Space")
    for group in ("Chemotherapy", "Scalp"):
        choose(page, page.get_by_role("group", name=group, exact=True), 1)
    choose(page, page.get_by_role("group", name="Broken hair, soreness or thinning where something pulled"), 2)
    press(page, page.get_by_label("Asked about reactions"), "Space")
    saved(page)
    press(page, page.get_by_role("button", name=re.compile("^Go on")))

    expect(page.get_by_role("heading", level=1)).to_have_text("Tapes")
    write(page, page.get_by_label("Circumference"), "55.9")
    write(page, page.get_by_label("Front to nape"), "35.6")
    write(page, page.get_by_label("Ear to ear over the top"), "34.3")
    press(page, page.get_by_role("button", name=re.compile("^Go on")))

    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("map"))
    write(page, page.get_by_label("Crown", exact=True), "20")
    page.keyboard.press("Tab")
    saved(page)
    press(page, page.get_by_role("button", name=re.compile("^Go on")))

    expect(page.get_by_role("heading", level=1)).to_have_text("Own hair")
    write(page, page.get_by_label("Length", exact=True), "25 cm")
    choose(page, page.get_by_role("group", name="Curl pattern"), 1)
    press(page, page.get_by_role("button", name=re.compile("^Go on")))
    expect(page.get_by_role("heading", level=1)).to_have_text("Wishes")
    choose(page, page.get_by_role("group", name="Would sleep in it"), 2)
    press(page, page.get_by_role("button", name=re.compile("^Go on")))
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign off")
    press(page, page.get_by_role("button", name=re.compile("^Sign off as")))

    expect(page.get_by_role("heading", level=1)).to_have_text("Candidates for Maren Holloway")
    first = page.locator("article.candidate").first
    name = first.get_by_role("heading").inner_text()
    tab_to(page, first.get_by_role("slider"))
    page.keyboard.press("ArrowLeft")
    expect(first.locator(".seat")).not_to_contain_text("(best)")
    press(page, first.get_by_role("button", name="Try this one"))
    expect(page.get_by_role("heading", name="To try: 1 of 5")).to_be_visible()
    press(page, page.get_by_role("link", name="Try them on"))

    for group in ("Covers", "Sits", "Matches"):
        choose(page, page.get_by_role("group", name=group), 0)
    press(page, page.get_by_role("button", name=re.compile("^Save")))
    expect(page.get_by_text(f"Kept how {name} did.")).to_be_visible()
    press(page, page.get_by_role("link", name="On to the decision"))
    choose(page, page.get_by_role("group", name="She takes"), 1)
    press(page, page.get_by_role("button", name="Keep the decision"))
    press(page, page.get_by_role("button", name="Finish and print the summary"))
    expect(page.get_by_text("The visit is finished.")).to_be_visible()

    fitting = Fitting.objects.get()
    text, _ = paper_of(page, live_server, fitting)
    assert name in text
    assert fitting.reference in text or fitting.client.reference in text
