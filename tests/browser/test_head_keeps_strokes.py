"""<turning-head> keeps and tells: what the form hears, and strokes that a dropped connection does not lose."""

from functools import partial

import pytest
from browser.head_page import drawn, head_html, open_head_page, painted, place_of
from playwright.sync_api import expect

from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES

pytestmark = pytest.mark.browser

CROWN, LEFT_CROWN = (-0.3, 0.0, 0.95), (-0.2, 0.4, 0.89)
ALL_FULL = LossMap.full().to_hex()


@pytest.fixture
def open_head(new_context):
    return partial(open_head_page, new_context)


def test_the_form_hears_of_the_map_and_not_of_the_tools(open_head):
    page = open_head()
    page.evaluate(
        """() => {
          window.heard = [];
          for (const kind of ["change", "input", "density-change"])
            document.querySelector("form").addEventListener(kind, (event) =>
              heard.push([kind, event.target.name || event.target.localName, event.detail?.hex?.length ?? 0]));
        }"""
    )
    page.get_by_role("radio", name="no hair").check()
    page.get_by_label("Paint both sides").check()
    page.mouse.click(*place_of(page, LEFT_CROWN))
    page.mouse.click(*place_of(page, CROWN))
    page.evaluate(
        """() => new Promise((done) => {
          const look = () => (heard.some(([kind]) => kind === "density-change") ? done() : setTimeout(look, 20));
          look();
        })"""
    )
    assert page.evaluate("heard") == [
        ["change", "density_hex", 0],
        ["change", "density_hex", 0],
        ["density-change", "turning-head", 8192],  # once, after the last stroke
    ]
    sent = page.evaluate("[...new FormData(document.querySelector('form')).keys()]")
    assert sent == ["density_hex", *(f"zone_{zone.key}" for zone in ZONES)]


def test_strokes_that_never_reached_the_server_come_back_and_can_be_undone(open_head):
    page = open_head(head_html(draft_key="visit-7", version="4"))
    page.mouse.click(*place_of(page, CROWN))
    kept = page.locator("[name=density_hex]").input_value()
    page.reload()
    drawn(page)
    expect(page.get_by_text("Your last strokes were kept on this device and have been put back.")).to_be_visible()
    assert page.locator("[name=density_hex]").input_value() == kept
    page.locator(".head-notice").get_by_role("button", name="Undo").click()
    assert page.locator("[name=density_hex]").input_value() == ALL_FULL
    expect(page.locator(".head-notice")).to_be_empty()


def saved(page, version, hex_text):
    page.evaluate(
        "detail => document.querySelector('turning-head').dispatchEvent(new CustomEvent('saved', {detail}))",
        {"version": version, "hex": hex_text},
    )


def test_saved_strokes_are_let_go_but_not_those_painted_while_saving(open_head):
    page = open_head(head_html(draft_key="visit-7", version="4"))
    page.mouse.click(*place_of(page, CROWN))
    first = page.locator("[name=density_hex]").input_value()
    page.mouse.click(*place_of(page, (0.5, 0.3, 0.8)))
    saved(page, "5", first)
    assert page.evaluate("JSON.parse(localStorage['turning-head:visit-7']).version") == "5"
    saved(page, "6", page.locator("[name=density_hex]").input_value())
    assert page.evaluate("localStorage.length") == 0


def test_strokes_kept_from_an_older_map_are_offered_and_not_forced(open_head):
    server = {"version": "4"}
    page = open_head(lambda: head_html(draft_key="visit-7", version=server["version"]))
    page.mouse.click(*place_of(page, CROWN))
    kept = page.locator("[name=density_hex]").input_value()
    server["version"] = "5"
    page.reload()
    drawn(page)
    assert page.locator("[name=density_hex]").input_value() == ALL_FULL
    page.get_by_role("button", name="Put them back").click()
    assert page.locator("[name=density_hex]").input_value() == kept


def test_what_is_kept_names_nobody(open_head):
    page = open_head(head_html(draft_key="visit-7", version="4"))
    page.mouse.click(*place_of(page, CROWN))
    assert page.evaluate("Object.keys(JSON.parse(localStorage['turning-head:visit-7'])).sort()") == [
        "at",
        "hex",
        "version",
    ]


def test_a_browser_that_refuses_storage_still_paints(open_head):
    page = open_head(head_html(draft_key="visit-7", version="4"))
    page.evaluate(
        "() => { Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') } }"
    )
    page.mouse.click(*place_of(page, CROWN))
    assert painted(page).any()
