"""Reading shades from a photo as a person does: take it, mark with the keyboard alone, keep, see it on the ring."""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from pieces.models import ShadeReading
from tests.pieces.factories import RingPhotoFactory, ShadeFactory, ShadeReadingFactory
from tests.pieces.ring.ring_pictures import one_shade, row_of_swatches

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

UPRIGHT = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}


@pytest.fixture
def picture():
    return one_shade()


@pytest.fixture
def shade():
    return ShadeFactory(code="sedge", name="Sedge brown", unmeasured=True)


def open_marks(page, live_server, photo, **shown):
    page.goto(live_server.url + reverse("ring-photo", args=[photo.reference], query=shown))
    expect(page.locator("colour-marks.is-ready")).to_be_visible()


def place_by_keyboard(page, x, y):
    """Walk the crosshair from where it stands to a place (shares of the photo) and press Enter."""
    page.keyboard.press("Shift+ArrowLeft")
    for _ in range(20):
        page.keyboard.press("Shift+ArrowLeft")
        page.keyboard.press("Shift+ArrowUp")
    width, height = page.evaluate(
        "(({ naturalWidth: w, naturalHeight: h }) => [w / Math.max(w, h), h / Math.max(w, h)])"
        "(document.querySelector('colour-marks img'))"
    )
    for share, key in ((x * width, "ArrowRight"), (y * height, "ArrowDown")):
        big, small = divmod(round(100 * share), 5)
        for _ in range(big):
            page.keyboard.press(f"Shift+{key}")
        for _ in range(small):
            page.keyboard.press(key)
    page.keyboard.press("Enter")


def tap(page, x, y):
    box = page.locator("colour-marks img").bounding_box()
    page.touchscreen.tap(box["x"] + x * box["width"], box["y"] + y * box["height"])


def test_a_shade_is_taken_marked_with_the_keyboard_alone_kept_and_seen_on_the_ring(
    staff_page, live_server, picture, shade, tmp_path
):
    file = tmp_path / "sedge.jpg"
    file.write_bytes(picture.jpeg)
    page = staff_page("Stylist", **UPRIGHT)
    page.goto(live_server.url + reverse("shades"))
    expect(page.get_by_text("not measured")).to_be_visible()
    page.get_by_role("link", name="Read shades from a photo").press("Enter")
    page.get_by_label("Photo of the shades").set_input_files(file)
    page.get_by_role("button", name="Take it in").press("Enter")
    page.get_by_label("Which shade").select_option("sedge Sedge brown")
    page.get_by_role("button", name="Mark this shade").press("Enter")
    expect(page.locator("colour-marks.is-ready")).to_be_visible()

    marks = json.loads(picture.with_card)
    page.get_by_role("application", name="Photo, to mark").focus()
    place_by_keyboard(page, marks["reference"]["x"], marks["reference"]["y"])
    for zone, radio in (("root", "Roots 1"), ("mid", "Mid-length 1"), ("ends", "Ends 1")):
        page.get_by_role("radio", name=radio).press("Space")
        page.get_by_role("application", name="Photo, to mark").focus()
        place_by_keyboard(page, marks["spots"][zone][1]["x"], marks["spots"][zone][1]["y"])
    page.get_by_role("button", name="Read the colours").press("Enter")
    expect(page.get_by_role("heading", name="This is what it reads")).to_be_focused()
    expect(page.get_by_text("sedge Sedge brown: not read this way before.")).to_be_visible()
    page.get_by_role("button", name="Keep this colour").press("Enter")
    expect(page.get_by_text("Kept: 1 shade read from this photo.")).to_be_visible()

    reading = ShadeReading.objects.get()
    for zone, true in picture.labs.items():
        assert abs(reading.lab()[zone][0] - true[0]) < 3, zone
    page.get_by_role("link", name="See the shade ring").press("Enter")
    expect(page.get_by_text("not measured")).to_have_count(0)
    page.locator("summary", has_text="card").press("Enter")
    expect(page.get_by_text("Photo with the grey card")).to_be_visible()
    expect(page.get_by_text(f"give or take {reading.doubt:.1f}")).to_be_visible()


def test_a_row_is_marked_by_touch_and_kept(staff_page, live_server):
    shades = [ShadeFactory(code=f"walnut-{lightness}", mid_l=lightness) for lightness in (22, 35, 55)]
    jpeg, card, spots = row_of_swatches([(22.0, 4.0, 6.0), (35.0, 8.0, 16.0), (55.0, 7.0, 22.0)])
    photo = RingPhotoFactory(jpeg=jpeg)
    page = staff_page("Stylist", **PHONE)
    page.goto(live_server.url + photo.get_absolute_url())
    page.get_by_label("The first shade").select_option("walnut-22 Deep warm brown")
    page.get_by_label("How many swatches").fill("3")
    page.get_by_role("button", name="List the row").tap()
    expect(page.get_by_label("Swatch 3")).to_have_value(str(shades[2].pk))
    page.get_by_role("button", name="Mark these swatches").tap()
    expect(page.locator("colour-marks.is-ready")).to_be_visible()
    tap(page, card["x"], card["y"])
    for spot in spots:
        tap(page, spot["x"], spot["y"])
    page.get_by_role("button", name="Read the colours").tap()
    expect(page.get_by_role("heading", name="This is what it reads")).to_be_visible()
    page.get_by_role("button", name="Keep these colours").tap()
    expect(page.get_by_text("Kept: 3 shades read from this photo.")).to_be_visible()
    assert [reading.shade for reading in ShadeReading.objects.order_by("pk")] == shades


def test_a_refusal_says_what_to_change_and_leaves_the_marks(staff_page, live_server, picture, shade):
    page = staff_page("Stylist", **UPRIGHT)
    open_marks(page, live_server, RingPhotoFactory(jpeg=picture.jpeg), shade=shade.pk)
    marks = json.loads(picture.with_card)
    tap(page, marks["reference"]["x"], marks["reference"]["y"])
    tap(page, marks["spots"]["root"][0]["x"], marks["spots"]["root"][0]["y"])
    page.get_by_role("button", name="Read the colours").click()
    expect(page.get_by_role("heading", name="Not read")).to_be_focused()
    expect(page.get_by_text("There is no spot yet on the mid-length and ends.")).to_be_visible()
    placed = json.loads(page.locator("input[name=marks]").input_value())
    assert placed["reference"]["kind"] == "card"
    assert len(placed["spots"]["root"]) == 1
    assert not ShadeReading.objects.exists()


def test_marks_that_could_not_be_sent_stand_and_the_page_says_so(
    staff_page, live_server, picture, shade, javascript_errors
):
    page = staff_page("Stylist", **UPRIGHT)
    open_marks(page, live_server, RingPhotoFactory(jpeg=picture.jpeg), shade=shade.pk)
    page.context.set_offline(True)
    page.get_by_role("button", name="Read the colours").click()
    expect(page.get_by_text("The marks could not be sent.")).to_be_visible()
    page.context.set_offline(False)
    page.get_by_role("button", name="Read the colours").click()
    expect(page.get_by_role("heading", name="Not read")).to_be_visible()
    expect(page.get_by_text("The marks could not be sent.")).to_be_hidden()
    javascript_errors.clear()  # the browser itself reports what it could not send


@pytest.mark.parametrize("how", [UPRIGHT, PHONE | {"color_scheme": "dark"}], ids=["tablet", "dark phone"])
def test_nothing_stands_in_the_way_of_anybody(staff_page, live_server, picture, how):
    reading = ShadeReadingFactory(photo=RingPhotoFactory(jpeg=picture.jpeg))
    photo, shade = [reading.photo.reference], reading.shade.pk
    page = staff_page("Stylist", **how)
    for name, arguments, shown in [
        ("shades", [], {}),
        ("ring-photos", [], {}),
        ("ring-photo", photo, {}),
        ("ring-photo", photo, {"first": shade, "count": 3}),
        ("ring-photo", photo, {"shade": shade}),
        ("ring-photo", photo, {"row": shade}),
        ("ring-both-ways", [], {}),
    ]:
        page.goto(live_server.url + reverse(name, args=arguments, query=shown))
        page.evaluate("for (const one of document.querySelectorAll('main details')) one.open = true")
        found = Axe().run(page)
        assert found.violations_count == 0, f"{name} {shown}: {found.generate_report()}"
        width = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert width <= 0, f"{name} {shown} is wider than the screen"
