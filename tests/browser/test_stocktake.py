"""Drawers as only a browser shows them: counted before a camera, typed, put right; units that came in and are labelled.

Chromium is shown a film instead of a camera: a label with its code, moving a little, as a hand would hold it.
"""

import numpy as np
import pytest
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from pieces.counting import begin_stocktake
from pieces.models import StocktakeScan, Unit
from tests.browser.test_every_page_is_accessible import DARK, PHONE, small_targets, sticking_out, violations
from tests.factories import OwnerFactory
from tests.pieces.drawers.frames import picture_of
from tests.pieces.factories import UnitFactory, VariantFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NUMBER = "U-7K2M9QAM"  # on the label in the film
CODE = f"https://salon.example/u/{NUMBER}/"
WIDTH, HEIGHT, FRAMES, A_SECOND = 640, 480, 20, 10
READS_BY_ITSELF = f"""
  globalThis.BarcodeDetector = class {{
    static async getSupportedFormats() {{ return ["qr_code"]; }}
    async detect() {{ return [{{ rawValue: "{CODE}" }}]; }}
  }};
"""
REFUSED = """
  navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("no", "%s"); };
"""


@pytest.fixture(scope="module")
def film(tmp_path_factory):
    """The film as YUV4MPEG2, which Chromium shows over and over."""
    file = tmp_path_factory.mktemp("film") / "label.y4m"
    colourless = np.full(WIDTH * HEIGHT // 2, 128, dtype=np.uint8).tobytes()
    picture = picture_of(CODE, size=(WIDTH, HEIGHT))
    with file.open("wb") as film:
        film.write(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F{A_SECOND}:1 Ip A1:1 C420\n".encode())
        for frame in range(FRAMES):
            shaken = np.roll(np.asarray(picture), (frame % 5, frame % 7), axis=(0, 1))
            film.write(b"FRAME\n" + shaken.tobytes() + colourless)
    return file


@pytest.fixture(scope="module")
def browser(browser_type, browser_type_launch_args, film):
    """Chromium whose camera shows the film, and which is always allowed to look."""
    camera = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
    arguments = [*browser_type_launch_args["args"], *camera, f"--use-file-for-fake-video-capture={film}"]
    opened = browser_type.launch(**browser_type_launch_args | {"args": arguments})
    yield opened
    opened.close()


@pytest.fixture
def unit():
    return UnitFactory(number=NUMBER)


@pytest.fixture
def stocktake(unit):
    return begin_stocktake(by=OwnerFactory(), at=now())


def look_at(page, live_server, stocktake):
    page.goto(live_server.url + stocktake.get_absolute_url())


def test_a_label_before_the_camera_is_counted_by_the_server_where_the_browser_reads_no_codes(
    staff_page, live_server, stocktake
):
    page = staff_page("Stylist", **PHONE)
    page.add_init_script("delete globalThis.BarcodeDetector;")
    look_at(page, live_server, stocktake)
    page.get_by_role("button", name="Use the camera").click()
    lines = page.get_by_role("list", name="Seen by the camera, the newest first")
    expect(lines.get_by_text(f"{NUMBER} is counted.")).to_be_visible()
    expect(page.get_by_text("1 met, 0 not met yet")).to_be_visible()
    assert StocktakeScan.objects.get().how == "camera"
    expect(page.locator("video")).to_be_visible()
    page.get_by_role("button", name="Stop the camera").click()
    expect(page.locator("video")).to_be_hidden()
    assert page.evaluate("document.querySelector('video').srcObject") is None
    expect(lines.get_by_role("listitem")).to_have_count(1)


def test_a_code_that_the_browser_reads_by_itself_is_sent_as_it_is_and_once(staff_page, live_server, stocktake):
    page = staff_page("Stylist")
    page.add_init_script(READS_BY_ITSELF)
    look_at(page, live_server, stocktake)
    sent = []
    page.on("request", lambda request: sent.append(request.post_data_buffer) if request.method == "POST" else None)
    page.get_by_role("button", name="Use the camera").click()
    expect(page.get_by_text(f"{NUMBER} is counted.")).to_be_visible()
    expect(page.get_by_text("1 met, 0 not met yet")).to_be_visible()
    [only] = sent
    assert CODE.encode() in only


@pytest.mark.parametrize(
    ("error", "says"),
    [
        ("NotAllowedError", "The camera was not allowed."),
        ("NotFoundError", "This device has no camera."),
        ("AbortError", "The camera could not be used."),
    ],
)
def test_a_camera_that_cant_be_used_is_told_and_typing_goes_on(staff_page, live_server, stocktake, error, says):
    page = staff_page("Stylist")
    page.add_init_script(REFUSED % error)
    look_at(page, live_server, stocktake)
    page.get_by_role("button", name="Use the camera").click()
    expect(page.get_by_text(says)).to_be_visible()
    page.get_by_label("Number on the label").fill(NUMBER)
    page.get_by_role("button", name="Count it").click()
    expect(page.get_by_text(f"{NUMBER} is counted.")).to_be_visible()


def test_no_other_page_is_given_the_camera(staff_page, live_server, unit, javascript_errors):
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("unit", args=[unit.number]))
    asked = "navigator.mediaDevices.getUserMedia({ video: true }).then(() => 'given', (error) => error.name)"
    assert page.evaluate(asked) == "NotAllowedError"
    javascript_errors.clear()  # the browser says on its console that the page may not


def test_numbers_are_typed_one_after_the_other_without_a_hand_on_the_pointer(staff_page, live_server, stocktake):
    other = UnitFactory()
    page = staff_page("Stylist")
    look_at(page, live_server, stocktake)
    field = page.get_by_label("Number on the label")
    expect(field).to_be_focused()
    page.keyboard.type(NUMBER.lower())
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"{NUMBER} is counted.")).to_be_visible()
    expect(field).to_be_focused()
    expect(field).to_have_value("")
    page.keyboard.type("U-7K2M9QA0")
    page.keyboard.press("Enter")
    expect(page.get_by_text("has a slip in it")).to_be_visible()
    expect(field).to_have_value("U-7K2M9QA0")
    field.fill(f"{live_server.url}/u/{other.number}/")  # as a reader that types writes it
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"{other.number} is counted.")).to_be_visible()
    expect(page.get_by_text("2 met")).to_be_visible()


def test_the_owner_goes_through_the_drawers_to_the_end(staff_page, live_server, unit):
    missing = UnitFactory()
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("stocktakes"))
    page.get_by_role("button", name="Begin a stocktake").click()
    page.get_by_label("Number on the label").fill(NUMBER)
    page.get_by_role("button", name="Count it").click()
    expect(page.get_by_text("1 met, 1 not met yet")).to_be_visible()
    page.get_by_role("link", name="Look again").click()
    page.get_by_label(missing.number).check()
    page.get_by_role("button", name="Put the ticked right").click()
    expect(page.get_by_role("alert")).to_contain_text("Write why")
    expect(page.get_by_label(missing.number)).to_be_checked()
    page.get_by_label("Why").fill("In no drawer")
    page.get_by_role("button", name="Put the ticked right").click()
    expect(page.get_by_text("Nothing: all that should be here was met.")).to_be_visible()
    page.get_by_role("button", name="Finish the stocktake").click()
    expect(page.get_by_text("2 should have been there, 1 were met.")).to_be_visible()
    expect(page.get_by_text("“In no drawer”")).to_be_visible()
    assert Unit.objects.get(pk=missing.pk).state == "gone"


def test_units_come_in_are_labelled_and_the_label_opens_them(staff_page, live_server):
    variant = VariantFactory()
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("units-receive", args=[variant.piece_id]))
    page.get_by_label("Shade and length").select_option(index=1)
    page.get_by_label("How many").fill("2")
    page.locator("form [type=submit]").last.click()
    expect(page.get_by_role("heading", name="Labels")).to_be_visible()
    ticked = page.get_by_role("group", name="Units that get a label").get_by_role("checkbox", checked=True)
    expect(ticked).to_have_count(2)
    unit = Unit.objects.first()
    page.goto(live_server.url + reverse("label", args=[unit.number]))
    expect(page.get_by_role("heading", name=f"Unit {unit.number}")).to_be_visible()
    page.get_by_text("Keep it apart").first.click()
    page.get_by_label("Why").first.fill("To be looked at")
    page.get_by_role("button", name="Keep it apart").click()
    expect(page.get_by_text("“To be looked at”")).to_be_visible()


@pytest.mark.parametrize("how", [{}, DARK], ids=["light", "dark"])
def test_axe_finds_nothing_while_the_camera_looks_on_a_phone(staff_page, live_server, stocktake, how):
    page = staff_page("Owner", **PHONE | how)
    page.add_init_script(READS_BY_ITSELF)
    look_at(page, live_server, stocktake)
    page.get_by_role("button", name="Use the camera").click()
    expect(page.get_by_text(f"{NUMBER} is counted.")).to_be_visible()
    assert violations(page) == []
    assert small_targets(page) == []
    assert sticking_out(page) == []
