"""Taking a set of photos on a phone and a tablet: several at once, one that fails among good ones, keyboard alone."""

import io
import random
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils.timezone import now
from PIL import Image
from playwright.sync_api import expect

from clients.consenting import withdraw_consent
from clients.models import Consent, Photo
from tests.clients.factories import PhotoSetFactory, tiny_picture
from tests.factories import ClientFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
SIZES = pytest.mark.parametrize("size", [PHONE, TABLET], ids=["phone", "tablet"])


def picture(name, content=None, kind="image/jpeg"):
    return {"name": name, "mimeType": kind, "buffer": tiny_picture() if content is None else content}


@pytest.fixture
def photo_set():
    return PhotoSetFactory(client=ClientFactory(given_name="Ada", family_name="Wren", photo_consent=True))


@pytest.fixture
def intake(staff_page, live_server, photo_set):
    """The page of the set; the keywords go to the window."""

    def open_page(**window):
        page = staff_page("Stylist", **window)
        page.goto(live_server.url + photo_set.get_absolute_url())
        return page

    return open_page


def tile(page, angle):
    return page.get_by_role("region", name=angle, exact=True)


def take(page, angle, *files):
    tile(page, angle).get_by_label(f"Take a photo: {angle}").set_input_files(list(files))


def choose_several(page, *files):
    page.get_by_label("Choose several photos").set_input_files(list(files))


def line(page, name):
    return page.get_by_role("listitem").filter(has_text=name)


def says(page, words):
    return expect(page.get_by_role("status")).to_have_text(words)


def angles():
    return sorted(Photo.objects.values_list("angle", flat=True))


@SIZES
def test_a_photo_taken_on_a_tile_is_sent_at_once_and_shown_as_it_is_kept(intake, size):
    page = intake(**size)
    take(page, "Left", picture("IMG_1.jpg"))
    says(page, "Taken: Left.")
    thumb = tile(page, "Left").get_by_role("img", name="Left, just taken")
    expect(thumb).to_have_attribute("src", re.compile(r"^/photos/P-\w+/thumb/$"))
    expect(thumb).to_have_js_property("naturalWidth", 48)
    expect(tile(page, "Left").get_by_text("✓ 1 taken")).to_be_visible()
    expect(tile(page, "Left").get_by_text("Stays in the record")).to_be_visible()
    assert angles() == ["left"]
    page.reload()  # nothing is unsent: no question
    expect(tile(page, "Left").get_by_role("img", name=re.compile("^Left, "))).to_be_visible()


@SIZES
def test_several_files_get_the_angles_still_missing_and_a_refused_one_spoils_nothing(intake, size):
    page = intake(**size)
    take(page, "Front", picture("front.jpg"))
    says(page, "Taken: Front.")
    choose_several(
        page,
        picture("a.jpg"),
        picture("notes.jpg", b"not a picture"),
        picture("c.png", tiny_picture(form="PNG"), "image/png"),
        picture("d.webp", tiny_picture(form="WEBP"), "image/webp"),
        picture("e.jpg"),
    )
    choices = page.get_by_role("combobox")
    assert [choice.input_value() for choice in choices.all()] == ["left", "right", "back", "top", ""]
    page.get_by_label("e.jpg: seen from").select_option("Colour, with card or chart")
    page.get_by_role("button", name="Send them").click()
    expect(line(page, "notes.jpg").get_by_text("This is not a picture")).to_be_visible()
    expect(page.get_by_role("combobox")).to_have_count(1)  # the others are taken, and their lines are gone
    assert angles() == ["back", "colour", "front", "left", "top"]
    page.get_by_role("button", name="Leave out: notes.jpg").click()
    says(page, "Left out: notes.jpg.")
    expect(page.get_by_role("combobox")).to_have_count(0)


@SIZES
def test_a_file_whose_way_breaks_off_is_tried_again_by_hand(intake, size, javascript_errors):
    page = intake(**size)
    page.route("**/take/", lambda route: route.abort())
    take(page, "Back", picture("back.jpg"))
    row = tile(page, "Back").get_by_role("listitem")
    expect(row.get_by_text("Not sent: no connection.")).to_be_visible()
    says(page, "Not taken: back.jpg. 1 not taken: its line says why.")
    page.unroute("**/take/")
    row.get_by_role("button", name="Try again: back.jpg").click()
    says(page, "Taken: Back.")
    assert angles() == ["back"]
    assert javascript_errors.pop() == "Failed to load resource: net::ERR_FAILED"  # the way that was broken off above


def test_a_photo_chosen_before_the_script_has_arrived_is_sent_once_it_has(staff_page, live_server, photo_set):
    page, held = staff_page("Stylist"), []
    page.route("**/photo-intake*.js", lambda route: held.append(route))  # Playwright takes no builtin here
    page.goto(live_server.url + photo_set.get_absolute_url(), wait_until="commit")
    take(page, "Front", picture("front.jpg"))
    held.pop().continue_()
    says(page, "Taken: Front.")
    assert angles() == ["front"]


def test_a_retry_after_a_lost_answer_keeps_one_photo(intake, javascript_errors):
    page = intake()

    def lose_the_answer(route):
        route.fetch()
        route.abort()

    page.route("**/take/", lose_the_answer)
    take(page, "Top", picture("top.jpg"))
    expect(page.get_by_text("Not sent: no connection.")).to_be_visible()
    assert angles() == ["top"]
    page.unroute("**/take/")
    page.get_by_role("button", name="Try again: top.jpg").click()
    says(page, "Taken: Top.")
    assert angles() == ["top"]
    javascript_errors.clear()  # the answer that was lost above


def test_the_progress_is_how_much_has_left_the_device(intake):
    page = intake()
    slowly = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 100_000}
    page.context.new_cdp_session(page).send("Network.emulateNetworkConditions", slowly)
    noise = random.Random(7).randbytes(3 * 400 * 300)
    sent = io.BytesIO()
    Image.frombytes("RGB", (400, 300), noise).save(sent, "PNG")
    take(page, "Front", picture("front.png", sent.getvalue(), "image/png"))
    page.wait_for_function(
        "() => { const { value } = document.querySelector('progress'); return 0 < value && value < 90; }"
    )
    expect(page.get_by_text(re.compile(r"^Sending: \d+ %$"))).to_be_visible()
    says(page, "Taken: Front.")


def test_two_are_on_their_way_at_a_time_and_one_can_be_stopped(intake, javascript_errors):
    page, held = intake(), []
    page.route("**/take/", lambda route: held.append(route) if len(held) < 2 else route.continue_())
    choose_several(page, *(picture(f"{number}.jpg") for number in range(3)))
    page.get_by_role("button", name="Send them").click()
    expect(page.get_by_role("progressbar")).to_have_count(2)
    expect(line(page, "2.jpg").get_by_text("Waits for its turn.")).to_be_visible()
    page.get_by_role("button", name="Stop: 0.jpg").click()
    expect(line(page, "0.jpg").get_by_text("Stopped: not sent.")).to_be_visible()
    expect(page.get_by_role("button", name="Try again: 0.jpg")).to_be_focused()
    expect(line(page, "2.jpg")).to_have_count(0)  # its turn had come
    held[1].continue_()
    expect(page.get_by_role("progressbar")).to_have_count(0)
    assert angles() == ["left", "right"]
    javascript_errors.clear()  # the one that was stopped


def test_frames_of_a_turn_keep_their_order_though_one_of_them_fails(intake, javascript_errors):
    page, failed = intake(), []

    def fail_once(route):
        if b"second.jpg" in route.request.post_data_buffer and not failed:
            failed.append(route)
            route.abort()
        else:
            route.continue_()

    page.route("**/take/", fail_once)
    turn = tile(page, "Turn")
    turn.get_by_label("Add frames in order").set_input_files(
        [picture(f"{name}.jpg") for name in ("first", "second", "third", "fourth")]
    )
    expect(turn.get_by_text("✓ 3 taken")).to_be_visible()
    turn.get_by_role("button", name="Try again: second.jpg").click()
    expect(turn.get_by_text("✓ 4 taken")).to_be_visible()
    shown = [image.get_attribute("alt") for image in turn.get_by_role("img").all()]
    assert shown == [f"Turn {frame}, just taken" for frame in (1, 2, 3, 4)]
    assert sorted(Photo.objects.values_list("frame", flat=True)) == [1, 2, 3, 4]
    javascript_errors.clear()  # the one that was made to fail


def test_a_file_that_is_too_large_is_not_even_sent(intake):
    page = intake()
    page.route("**/take/", lambda route: pytest.fail("it was sent"))
    take(page, "Front", picture("large.jpg", bytes(25_000_001)))
    expect(page.get_by_text("This photo has more than 25 MB, the most that is taken in.")).to_be_visible()


def test_signed_out_meanwhile_the_line_says_so_and_goes_on_after_signing_in(intake, live_server, photo_set):
    page = intake()
    session = next(cookie for cookie in page.context.cookies() if cookie["name"] == "sessionid")
    page.context.clear_cookies(name="sessionid")
    take(page, "Front", picture("front.jpg"))
    row = tile(page, "Front").get_by_role("listitem")
    expect(row.get_by_text("Not sent: you are signed out, or may not do this.")).to_be_visible()
    expect(row.get_by_role("link", name="Sign in, in another tab")).to_be_visible()
    # signing in in another tab gives a new session and a new token against forgery
    page.context.clear_cookies(name="csrftoken")
    page.context.add_cookies([session])
    other = page.context.new_page()
    other.goto(live_server.url + photo_set.get_absolute_url())
    other.close()
    row.get_by_role("button", name="Try again: front.jpg").click()
    says(page, "Taken: Front.")
    assert angles() == ["front"]


def test_a_consent_taken_back_meanwhile_is_said_on_the_line(intake, photo_set):
    page = intake()
    consent = Consent.objects.get(client=photo_set.client)
    withdraw_consent(consent=consent, by=photo_set.begun_by, at=now())
    take(page, "Front", picture("front.jpg"))
    expect(page.get_by_text("Ada Wren has not agreed to photos, or has taken it back.")).to_be_visible()
    assert angles() == []


def test_leaving_while_something_is_unsent_asks_first(intake):
    page, asked = intake(), []
    choose_several(page, picture("front.jpg"))
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.get_by_role("heading", name="Several at once").click()
    page.get_by_role("link", name="All photos of Ada Wren").click()
    expect(page.get_by_label("front.jpg: seen from")).to_be_visible()
    assert asked == ["beforeunload"]


@SIZES
def test_by_keyboard_alone(intake, size):
    page = intake(**size)
    with page.expect_file_chooser() as chooser:
        tile(page, "Front").get_by_label("Take a photo: Front").focus()
        page.keyboard.press("Enter")
    chooser.value.set_files([picture("front.jpg")])
    says(page, "Taken: Front.")
    with page.expect_file_chooser() as chooser:
        page.get_by_label("Choose several photos").focus()
        page.keyboard.press("Enter")
    chooser.value.set_files([picture("bad.jpg", b"no"), picture("right.jpg")])
    page.keyboard.press("Tab")
    expect(page.get_by_label("bad.jpg: seen from")).to_be_focused()
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Leave out: bad.jpg")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Send them")).to_be_focused()
    page.keyboard.press("Enter")
    expect(tile(page, "Right").get_by_text("✓ 1 taken")).to_be_visible()
    expect(line(page, "bad.jpg").get_by_text("This is not a picture")).to_be_visible()
    expect(page.get_by_role("heading", name="Several at once")).to_be_focused()
    page.get_by_role("button", name="Leave out: bad.jpg").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("Choose several photos")).to_be_focused()
    assert angles() == ["front", "right"]


def test_without_javascript_each_tile_is_a_plain_form(intake):
    page = intake(java_script_enabled=False)
    front = tile(page, "Front")
    front.get_by_label("Take a photo: Front").set_input_files([picture("front.jpg")])
    front.get_by_role("button", name="Send").click()
    expect(page.get_by_text("Taken: Front.")).to_be_visible()
    expect(tile(page, "Front").get_by_role("img", name=re.compile("^Front, "))).to_be_visible()
    assert angles() == ["front"]


@SIZES
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_while_files_are_listed_refused_and_taken(intake, size, scheme):
    page = intake(**size, color_scheme=scheme)
    take(page, "Front", picture("front.jpg"))
    take(page, "Back", picture("back.jpg", b"no"))
    choose_several(page, picture("a.jpg"), picture("b.jpg"))
    expect(page.get_by_text("This is not a picture")).to_be_visible()
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
