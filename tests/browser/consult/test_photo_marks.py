"""Marking a photo of her hair by touch, mouse and keyboard alone, on a phone and a tablet: from the photo to a reading.

The photo is one of `tests.salon.colour.synthetic_cameras`, so that it is known where card, chart and hair are.
"""

import json
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.assessing import ReadingTaken, save_own_hair
from clients.models import Assessment
from fittings.photos.filing import begin_photo_set
from fittings.visiting import begin_visit
from tests.browser.test_every_page_is_accessible import small_targets, sticking_out
from tests.clients.factories import PhotoFactory
from tests.factories import ClientFactory
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory
from tests.salon.colour.synthetic_cameras import PERFECT, take_picture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
HAIR = {"root": (24.0, 5.0, 9.0), "mid": (27.0, 6.0, 11.0), "ends": (34.0, 8.0, 16.0)}
PICTURE = take_picture(7, hair=HAIR, camera=PERFECT)
CARD = json.loads(PICTURE.with_card)["reference"]
CORNERS = json.loads(PICTURE.with_chart)["reference"]["corners"]
SPOTS = {
    zone: [(spot["x"], spot["y"]) for spot in spots] for zone, spots in json.loads(PICTURE.with_card)["spots"].items()
}
READ = re.compile("What the photo reads")


@pytest.fixture
def visit(stylist):
    her = ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True, photo_consent=True)
    return begin_visit(client=her, stylist=stylist, at=now())


@pytest.fixture
def opened(signed_in_page, stylist, visit, live_server):
    """`opened(**window)`: the page of a photo to mark; `jpeg` is another photo."""

    def open_photo(*, jpeg=PICTURE.jpeg, **window):
        photo_set = begin_photo_set(client=visit.client, moment="own hair", by=stylist, at=now())
        photo = PhotoFactory(photo_set=photo_set, angle="colour", picture=jpeg, by=stylist)
        page = signed_in_page(stylist, **window)
        page.goto(live_server.url + reverse("reading-marks", args=[visit.reference, photo.reference]))
        expect(page.locator("colour-marks.is-ready img")).to_be_visible()
        page.locator(".marks-frame img").evaluate("image => image.decode()")
        return page

    return open_photo


def marks(page):
    return json.loads(page.locator("[name=marks]").input_value())


def at(page, x, y):
    """Where a place of the photo is on the screen."""
    page.locator(".marks-stage").scroll_into_view_if_needed()
    box = page.locator(".marks-frame").bounding_box()
    return box["x"] + x * box["width"], box["y"] + y * box["height"]


def tap(page, x, y):
    page.touchscreen.tap(*at(page, x, y))


def target(page, name):
    return page.get_by_role("radio", name=name)


def chosen(page):
    return page.locator("[data-target]:checked").get_attribute("data-target")


def reading(page):
    return page.get_by_role("region", name="What the photo reads")


# By touch


def test_on_a_phone_card_and_hair_are_tapped_read_matched_and_kept(opened, visit):
    ShadeReadingFactory(shade=ShadeFactory(code="walnut-1", name="Walnut"), lightness=28.0)
    page = opened(**PHONE)
    tap(page, CARD["x"], CARD["y"])
    expect(page.locator("colour-marks > [role=status]")).to_contain_text("Next: Roots 1.")
    for zone in HAIR:
        for place in SPOTS[zone]:
            tap(page, *place)
    expect(reading(page).get_by_role("heading", name=READ)).to_be_visible()
    expect(reading(page)).to_contain_text("3 spots")
    expect(reading(page)).to_contain_text("walnut-1 Walnut")
    assert {zone: len(spots) for zone, spots in marks(page)["spots"].items()} == {"root": 3, "mid": 3, "ends": 3}
    page.get_by_role("button", name="Keep this reading").click()
    expect(page).to_have_url(re.compile("/own-hair/$"))
    expect(page.get_by_role("region", name="Colour, from a photo")).to_contain_text("Photo with the grey card")
    assert visit.assessment.readings.count() == 3


def test_on_a_tablet_the_chart_is_marked_by_its_corners(opened):
    page = opened(**TABLET)
    target(page, "Chart").check()
    for corner in (CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]):
        tap(page, *corner)
    assert marks(page)["reference"]["kind"] == "chart"
    expect(page.locator(".marks-drawn polygon").first).to_be_visible()
    tap(page, *SPOTS["root"][0])
    expect(reading(page)).to_contain_text("Read by the chart")
    target(page, "Card").first.check()
    expect(reading(page)).to_contain_text("Neither the grey card nor the chart is marked")
    target(page, "Chart").check()
    expect(reading(page)).to_contain_text("Read by the chart")


def test_a_swipe_scrolls_and_marks_nothing(opened):
    page = opened(**PHONE)
    touch = page.context.new_cdp_session(page)
    x, y = at(page, 0.5, 0.9)
    before = page.evaluate("scrollY")
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 9):
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y - 20 * step}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_function("before => scrollY > before", arg=before)
    assert page.locator("[name=marks]").input_value() == ""
    expect(page.locator(".marks-loupe")).to_be_hidden()


def test_a_finger_that_rests_aims_under_the_loupe_and_marks_where_it_is_lifted(opened):
    page = opened(**PHONE)
    touch = page.context.new_cdp_session(page)
    x, y = at(page, *SPOTS["ends"][0])
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    expect(page.locator(".marks-loupe")).to_be_visible()
    page.evaluate("new Promise((done) => setTimeout(done, 260))")  # a finger that rests is what this is about
    aimed = at(page, CARD["x"], CARD["y"])
    touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [dict(zip("xy", aimed, strict=True))]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator(".marks-loupe")).to_be_hidden()
    placed = marks(page)["reference"]
    assert (placed["x"], placed["y"]) == pytest.approx((CARD["x"], CARD["y"]), abs=0.01)


def test_a_mark_is_moved_resized_and_taken_away_by_buttons_alone(opened):
    page = opened(**PHONE)
    tap(page, CARD["x"], CARD["y"])
    placed = marks(page)["reference"]
    page.get_by_role("button", name="Right").click()
    page.get_by_role("button", name="Down").click()
    moved = marks(page)["reference"]
    assert (moved["x"] - placed["x"], moved["y"] - placed["y"]) == pytest.approx((0.005, 0.005 * 640 / 420), abs=1e-4)
    page.get_by_label("Size", exact=True).fill("0.05")
    assert marks(page)["reference"]["radius"] == 0.05
    page.get_by_role("button", name="Take away").click()
    assert marks(page)["reference"] is None
    assert chosen(page) == "card"


def test_zoomed_in_a_small_place_is_hit_and_the_photo_scrolls_to_what_is_moved(opened):
    page = opened(**PHONE)
    tap(page, CARD["x"], CARD["y"])
    narrow = page.locator(".marks-frame").bounding_box()["width"]
    for _ in range(5):
        page.get_by_role("button", name="Larger").click()
    expect(page.get_by_role("button", name="Larger")).to_be_disabled()
    assert page.locator(".marks-frame").bounding_box()["width"] == pytest.approx(6 * narrow, rel=0.01)
    tap(page, CARD["x"] + 0.01, CARD["y"])
    assert marks(page)["spots"]["root"][0]["x"] == pytest.approx(CARD["x"] + 0.01, abs=0.002)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


# By mouse and keyboard


def test_the_mouse_looks_through_the_loupe_and_clicks(opened):
    page = opened(viewport={"width": 1366, "height": 768})
    page.mouse.move(*at(page, CARD["x"], CARD["y"]))
    expect(page.locator(".marks-loupe")).to_be_visible()
    page.mouse.click(*at(page, CARD["x"], CARD["y"]))
    page.mouse.click(*at(page, *SPOTS["mid"][0]))
    assert chosen(page) == "root:2"
    page.mouse.move(5, 5)
    expect(page.locator(".marks-loupe")).to_be_hidden()
    expect(reading(page).get_by_role("heading", name=READ)).to_be_visible()


def test_all_of_it_by_keyboard_alone(opened, visit):
    page = opened(viewport={"width": 1180, "height": 820})
    status = page.locator("colour-marks > [role=status]")
    page.get_by_role("link", name="The other photos").focus()
    page.keyboard.press("Tab")
    expect(page.get_by_role("application", name="Photo, to mark")).to_be_focused()

    def go(x, y):
        """From where the crosshair is to a place, as the status line tells where it is."""
        told = page.evaluate(
            "() => [...document.querySelectorAll('.mark-crosshair circle')].at(-1)?.getAttribute('cx')"
        )
        assert told, "the crosshair is drawn"
        box = page.locator(".marks-frame").bounding_box()
        now_x = float(told) / box["width"]
        now_y = float(page.locator(".mark-crosshair circle").last.get_attribute("cy")) / box["height"]
        for here, there, side, keys in (
            (now_x, x, 1.0, ("ArrowRight", "ArrowLeft")),
            (now_y, y, 420 / 640, ("ArrowDown", "ArrowUp")),
        ):
            steps = round((there - here) * side * 100)
            key = keys[0] if steps > 0 else keys[1]
            for _ in range(abs(steps) // 5):
                page.keyboard.press(f"Shift+{key}")
            for _ in range(abs(steps) % 5):
                page.keyboard.press(key)

    go(CARD["x"], CARD["y"])
    expect(status).to_have_text(re.compile(r"^\d+ % from the left, \d+ % from the top\.$"))
    page.keyboard.press("Enter")
    expect(status).to_have_text(
        re.compile(r"^Grey card is at \d+ % from the left and \d+ % from the top\. Next: Roots 1\.$")
    )
    placed = marks(page)["reference"]
    assert (placed["x"], placed["y"]) == pytest.approx((CARD["x"], CARD["y"]), abs=0.01)
    page.keyboard.press("+")
    assert marks(page)["reference"]["radius"] == pytest.approx(placed["radius"] + 0.002)
    go(*SPOTS["root"][0])
    page.keyboard.press("Enter")
    expect(reading(page).get_by_role("heading", name=READ)).to_be_visible()
    page.keyboard.press("Enter")
    assert len(marks(page)["spots"]["root"]) == 2
    page.keyboard.press("Delete")
    assert len(marks(page)["spots"]["root"]) == 1
    keep = page.get_by_role("button", name="Keep this reading")
    for _ in range(60):
        if keep.evaluate("button => button === document.activeElement"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/own-hair/$"))
    assert visit.assessment.readings.get().zone == "root"


# Refused, opened again, without a script


def test_a_photo_without_a_card_is_refused_and_keeps_its_marks(opened, visit):
    page = opened(**PHONE)
    target(page, "Roots 1").check()
    tap(page, *SPOTS["root"][0])
    expect(reading(page)).to_contain_text("Mark the card")
    page.get_by_role("button", name="Read it").click()
    expect(reading(page)).to_contain_text("Neither the grey card nor the chart is marked on this photo")
    expect(reading(page)).to_contain_text("Take it again with the card or the chart beside the hair")
    assert len(marks(page)["spots"]["root"]) == 1
    expect(page.get_by_role("button", name="Keep this reading")).to_have_count(0)
    tap(page, CARD["x"], CARD["y"])
    assert marks(page)["reference"] is None, "the next root is chosen: the card is chosen by hand"
    target(page, "Grey card").check()
    tap(page, CARD["x"], CARD["y"])
    assert not visit.assessment.readings.exists()


def test_a_burnt_out_photo_is_refused_with_what_to_change(opened):
    bright = take_picture(7, hair=HAIR | {"root": (100.0, 0.0, 0.0)}, camera=PERFECT)
    page = opened(jpeg=bright.jpeg, **TABLET)
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    expect(reading(page)).to_contain_text("Spot 1 on the roots is too light for the camera")
    expect(reading(page)).to_contain_text("Turn the exposure or the light down")


def test_marks_that_could_not_be_sent_stand_and_the_page_says_so(opened, javascript_errors):
    page = opened(**PHONE)
    page.context.set_offline(True)
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    expect(page.get_by_text("The marks could not be sent.")).to_be_in_viewport()
    page.context.set_offline(False)
    page.get_by_role("button", name="Read it").click()
    expect(reading(page)).to_contain_text(READ)
    expect(page.get_by_text("The marks could not be sent.")).to_be_hidden()
    javascript_errors.clear()  # the browser itself reports what it could not send


def test_signed_out_meanwhile_she_signs_in_elsewhere_and_goes_on_with_her_marks(opened, stylist, javascript_errors):
    stylist.set_password("a-word-for-this-test")
    stylist.save()
    page = opened(**PHONE)
    page.context.clear_cookies(name="sessionid")
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    expect(page.get_by_text("You are signed out.")).to_be_in_viewport()
    with page.context.expect_page() as opening:
        page.get_by_role("link", name="Sign in, in another tab").click()
    tab = opening.value
    tab.get_by_label("Username").fill(stylist.username)
    tab.get_by_label("Password").fill("a-word-for-this-test")
    tab.get_by_role("button", name="Sign in").click()
    expect(tab.get_by_role("heading", name="Sign in")).to_have_count(0)
    page.get_by_role("button", name="Read it").click()
    expect(reading(page)).to_contain_text(READ)
    expect(page.get_by_text("You are signed out.")).to_be_hidden()
    javascript_errors.clear()  # the browser itself reports the answer that asks to sign in


def test_a_kept_reading_opens_again_with_its_marks_on_the_photo(opened):
    page = opened(**TABLET)
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    kept = marks(page)
    page.get_by_role("button", name="Keep this reading").click()
    page.get_by_role("link", name="Its marks (roots)").click()
    expect(page.locator("[data-mark='root:1']")).to_be_visible()
    assert marks(page) == kept
    assert chosen(page) == "root:2"
    expect(reading(page)).to_contain_text("This reading is kept.")


def test_why_nothing_was_kept_comes_into_sight(opened, visit, stylist):
    page = opened(**PHONE)
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    expect(reading(page)).to_contain_text(READ)
    measured = ReadingTaken(method="instrument", lab=(24.0, 5.0, 9.0), doubt=0.6)
    revision = Assessment.objects.get(pk=visit.assessment.pk).revision
    save_own_hair(assessment=visit.assessment, revision=revision, by=stylist, readings={"root": measured})
    page.get_by_role("button", name="Keep this reading").click()
    expect(page.get_by_text("Look again:")).to_be_in_viewport()
    page.get_by_role("button", name="Keep this reading").click()
    expect(page.get_by_text("Nothing would be kept:")).to_be_in_viewport()


def test_without_a_script_the_page_says_that_marking_needs_it(signed_in_page, opened, stylist):
    address = opened().url
    page = signed_in_page(stylist, java_script_enabled=False)
    page.goto(address)
    expect(page.get_by_text("Marking a photo needs JavaScript")).to_be_visible()
    expect(page.get_by_role("radio").first).to_be_hidden()


# For everybody


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("window", [PHONE, TABLET], ids=["phone", "tablet"])
def test_axe_finds_nothing_nothing_sticks_out_and_targets_are_large(window, scheme, opened, visit, live_server):
    page = opened(color_scheme=scheme, **window)
    tap(page, CARD["x"], CARD["y"])
    tap(page, *SPOTS["root"][0])
    expect(reading(page).get_by_role("heading", name=READ)).to_be_visible()
    page.get_by_text("For the share of grey").click()
    for name in ("", "reading-photos"):
        if name:
            page.goto(live_server.url + reverse(name, args=[visit.reference]))
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert sticking_out(page) + small_targets(page) == []
