"""Comparing two photos and spinning a turn: by keys alone, by pointer, on phone and tablet, and without a script."""

import io
from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from PIL import Image
from playwright.sync_api import expect

from salon.common.days import day_said
from tests.clients.factories import PhotoFactory, PhotoSetFactory, tiny_picture
from tests.factories import ClientFactory, StylistFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"viewport": {"width": 1366, "height": 768}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
AT_REST = {"reduced_motion": "no-preference"}
BLUE, ORANGE = (30, 60, 200), (230, 140, 30)
FRAMES = 8
SCREENS = {"laptop": LAPTOP, "phone": PHONE, "tablet": TABLET, "dark": LAPTOP | {"color_scheme": "dark"}}
every_screen = pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS)


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def open_compare(signed_in_page, live_server, stylist):
    """Her page with two sets: blue photos from ninety days ago, orange ones of today."""
    her = ClientFactory(photo_consent=True)
    for days_ago, colour in ((90, BLUE), (0, ORANGE)):
        at = now() - timedelta(days=days_ago)
        photo_set = PhotoSetFactory(client=her, by=stylist, at=at)
        for angle in ("front", "top"):
            picture = tiny_picture(colour=colour, size=(300, 400))
            PhotoFactory(photo_set=photo_set, angle=angle, picture=picture, by=stylist, at=at)

    def open_it(**context):
        page = signed_in_page(stylist, **context)
        page.goto(live_server.url + reverse("photos-compare", args=[her.reference]))
        page.wait_for_load_state("networkidle")
        return page

    return open_it


@pytest.fixture
def open_turn(signed_in_page, live_server, stylist):
    """The turn of a set whose frames are grey, each lighter than the one before; place 3 is empty."""
    photo_set = PhotoSetFactory(by=stylist)
    for place in (place for place in range(1, FRAMES + 2) if place != 3):
        picture = tiny_picture(colour=(20 * place,) * 3, size=(300, 400))
        PhotoFactory(photo_set=photo_set, angle="turn", frame=place, picture=picture, by=stylist)

    def open_it(**context):
        page = signed_in_page(stylist, **context)
        page.goto(live_server.url + reverse("photos-turn", args=[photo_set.reference]))
        page.wait_for_load_state("networkidle")
        return page

    return open_it


def pixel(page, locator, across, down=0.2):
    """The colour that is seen at this share of an element's box."""
    box = locator.bounding_box()
    clip = {"x": box["x"] + across * box["width"], "y": box["y"] + down * box["height"], "width": 1, "height": 1}
    return Image.open(io.BytesIO(page.screenshot(clip=clip, animations="disabled"))).convert("RGB").getpixel((0, 0))


def is_near(seen, colour):
    return all(abs(one - other) < 12 for one, other in zip(seen, colour, strict=True))


def slider(page):
    return page.get_by_role("slider")


def tab_to(page, locator):
    """Go there by the Tab key, as somebody without a pointer does."""
    for _ in range(60):
        if locator.evaluate("element => element === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail("the Tab key never came there")


def drag(page, locator, from_share, to_share):
    box = locator.bounding_box()
    down = box["y"] + 0.4 * box["height"]
    page.mouse.move(box["x"] + from_share * box["width"], down)
    page.mouse.down()
    page.mouse.move(box["x"] + to_share * box["width"], down, steps=6)
    page.mouse.up()


# Comparing


def picture(page):
    return page.locator("photo-compare img").first


def test_the_slider_uncovers_the_left_picture_by_keys_and_says_so_in_words(open_compare):
    page = open_compare()
    day = day_said(now() - timedelta(days=90))
    expect(slider(page)).to_have_attribute("aria-valuetext", f"50 % of own hair, {day}")
    assert is_near(pixel(page, picture(page), 0.4), BLUE)
    assert is_near(pixel(page, picture(page), 0.6), ORANGE)
    tab_to(page, slider(page))
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    expect(slider(page)).to_have_attribute("aria-valuetext", f"60 % of own hair, {day}")
    page.keyboard.press("End")
    assert is_near(pixel(page, picture(page), 0.95), BLUE)
    page.keyboard.press("Home")
    assert is_near(pixel(page, picture(page), 0.05), ORANGE)


def test_layout_angle_and_other_sets_are_chosen_by_keys_alone(open_compare):
    page = open_compare()
    tab_to(page, page.get_by_role("radio", name="One over the other"))
    page.keyboard.press("ArrowRight")
    expect(slider(page)).to_be_hidden()
    left, right = (page.locator("photo-compare img").nth(place).bounding_box() for place in (0, 1))
    assert left["x"] + left["width"] <= right["x"]
    assert (left["width"], left["height"]) == pytest.approx((right["width"], right["height"]), abs=1)
    tab_to(page, page.get_by_role("link", name="Top"))
    page.keyboard.press("Enter")
    expect(page.get_by_role("img", name="Top, own hair").first).to_be_visible()
    expect(page.get_by_role("radio", name="Side by side")).to_be_checked()
    tab_to(page, page.get_by_label("On the left"))
    page.keyboard.press("Home")
    tab_to(page, page.get_by_role("button", name="Compare"))
    page.keyboard.press("Enter")
    expect(page.get_by_text("The same set is chosen on both sides.")).to_be_visible()


@pytest.mark.parametrize("screen", [LAPTOP, PHONE, TABLET], ids=["laptop", "phone", "tablet"])
def test_a_drag_on_the_picture_moves_the_slider(screen, open_compare):
    page = open_compare(**screen)
    picture(page).scroll_into_view_if_needed()
    drag(page, picture(page), 0.5, 0.8)
    expect(slider(page)).to_have_js_property("value", "80")
    assert is_near(pixel(page, picture(page), 0.7), BLUE)
    drag(page, picture(page), 0.8, -0.2)
    expect(slider(page)).to_have_js_property("value", "0")


def test_a_tap_on_the_picture_moves_the_slider_there(open_compare):
    page = open_compare(**PHONE)
    picture(page).scroll_into_view_if_needed()
    box = picture(page).bounding_box()
    page.touchscreen.tap(box["x"] + 0.25 * box["width"], box["y"] + 0.3 * box["height"])
    expect(slider(page)).to_have_js_property("value", "25")


@pytest.mark.parametrize(
    "screen", [{}, PHONE, TABLET, {"color_scheme": "dark"}], ids=["laptop", "phone", "tablet", "dark"]
)
@pytest.mark.parametrize("layout", ["One over the other", "Side by side"])
def test_comparing_fits_the_screen_and_axe_finds_nothing(screen, layout, open_compare):
    page = open_compare(**screen)
    page.get_by_role("radio", name=layout).check()
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    assert Axe().run(page).response["violations"] == []


def test_without_a_script_the_pictures_stand_side_by_side_and_other_sets_can_be_chosen(open_compare):
    page = open_compare(java_script_enabled=False)
    expect(slider(page)).to_be_hidden()
    left, right = (page.locator("photo-compare img").nth(place).bounding_box() for place in (0, 1))
    assert left["x"] + left["width"] <= right["x"]
    page.get_by_label("On the right").select_option(index=1)
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_text("The same set is chosen on both sides.")).to_be_visible()


# Spinning


def stage(page):
    return page.get_by_role("group", name="The turn.")


def frame_seen(page):
    """Which frame is seen, from 1, told from how light it is."""
    light = pixel(page, stage(page), 0.3)[0]
    place = round(light / 20)
    return place if place < 3 else place - 1


def test_the_arrow_keys_spin_it_and_go_round(open_turn):
    page = open_turn()
    tab_to(page, stage(page))
    assert frame_seen(page) == 1
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(slider(page)).to_have_attribute("aria-valuetext", f"frame 3 of {FRAMES}")
    assert frame_seen(page) == 3  # the place that is empty is no frame
    for _ in range(3):
        page.keyboard.press("ArrowLeft")
    expect(slider(page)).to_have_attribute("aria-valuetext", f"frame {FRAMES} of {FRAMES}")
    page.keyboard.press("Home")
    assert frame_seen(page) == 1


def test_the_slider_and_the_buttons_spin_it_by_keys(open_turn):
    page = open_turn()
    tab_to(page, slider(page))
    page.keyboard.press("End")
    assert frame_seen(page) == FRAMES
    tab_to(page, page.get_by_role("button", name="Next"))
    page.keyboard.press("Enter")
    assert frame_seen(page) == 1
    page.get_by_role("button", name="Previous").press("Enter")
    assert frame_seen(page) == FRAMES


@pytest.mark.parametrize("screen", [LAPTOP, PHONE, TABLET], ids=["laptop", "phone", "tablet"])
def test_a_drag_over_the_whole_width_is_one_turn_and_follows_the_pointer(screen, open_turn):
    page = open_turn(**screen)
    drag(page, stage(page), 0.75, 0.5)
    expect(slider(page)).to_have_attribute("aria-valuetext", f"frame {1 + FRAMES // 4} of {FRAMES}")
    drag(page, stage(page), 0.25, 0.5)
    assert frame_seen(page) == 1


def test_every_frame_is_loaded_once_and_asked_for_no_more(open_turn):
    page = open_turn()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    assert page.locator("turning-photos img").evaluate_all(
        "all => all.every((one) => one.complete && one.naturalWidth)"
    )
    for _ in range(FRAMES):
        page.get_by_role("button", name="Next").click()
    assert frame_seen(page) == 1
    assert not asked


def test_it_spins_by_itself_only_when_that_is_pressed_and_stops_at_a_touch(open_turn):
    page = open_turn(**AT_REST)
    spin = page.get_by_role("button", name="Spin by itself")
    expect(spin).to_have_attribute("aria-pressed", "false")
    spin.click()
    expect(slider(page)).to_have_attribute("aria-valuetext", f"frame 3 of {FRAMES}")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    expect(spin).to_have_attribute("aria-pressed", "false")


def test_somebody_who_asked_for_less_motion_is_not_offered_it(open_turn):
    expect(open_turn().get_by_role("button", name="Spin by itself")).to_be_hidden()


@pytest.mark.parametrize(
    "screen", [{}, PHONE, TABLET, {"color_scheme": "dark"}], ids=["laptop", "phone", "tablet", "dark"]
)
def test_the_turn_fits_the_screen_and_axe_finds_nothing(screen, open_turn):
    page = open_turn(**screen)
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    assert Axe().run(page).response["violations"] == []


def test_without_a_script_every_frame_lies_in_a_grid(open_turn):
    page = open_turn(java_script_enabled=False)
    expect(page.get_by_role("img")).to_have_count(FRAMES)
    expect(page.get_by_role("img", name="Turn 9")).to_be_visible()
    expect(slider(page)).to_be_hidden()
