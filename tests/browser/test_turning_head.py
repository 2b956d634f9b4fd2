"""<turning-head>: painting remaining hair by mouse, finger, pen, keys and numbers; turning; what axe says."""

from functools import partial

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.head_page import HEAD, density, drawn, head_html, open_head_page, painted, place_of
from playwright.sync_api import expect

from clients.scalp.grid import GRID, INSIDE, UNIT_NORMALS
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import pattern_start
from clients.scalp.regions import ZONES, loss_map_from_zones, zone_means

pytestmark = pytest.mark.browser

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
CROWN, LEFT_CROWN = (-0.3, 0.0, 0.95), (-0.2, 0.4, 0.89)
ALL_FULL = LossMap.full().to_hex()


@pytest.fixture
def open_head(new_context):
    return partial(open_head_page, new_context)


def area_mm2(cells):
    return HEAD.cell_areas_cm2[cells].sum() * 100


def choose_density(page, words):
    page.get_by_role("radio", name=words).check()


# Painting


def test_a_tap_paints_a_dab_of_the_brush_s_size_without_dragging(open_head):
    page = open_head()
    choose_density(page, "no hair")
    page.get_by_label("mm across").fill("40")
    page.get_by_label("mm across").blur()
    page.mouse.click(*place_of(page, CROWN))
    centre = np.array(CROWN) / np.linalg.norm(CROWN) * HEAD.semi_axes_mm
    distances = np.linalg.norm(HEAD.cell_points_mm - centre, axis=-1)
    assert painted(page)[INSIDE & (distances < 18)].all()
    assert not painted(page)[distances > 20.5].any()  # a chord is shorter than the way over the surface
    assert area_mm2(painted(page)) == pytest.approx(np.pi * 20**2, rel=0.06)  # a circle's area, cells of 20 mm²
    assert set(np.unique(density(page))) == {0, 100}


def test_a_mouse_stroke_paints_a_band_without_gaps_and_is_one_step_to_undo(open_head):
    page = open_head()
    page.mouse.move(*place_of(page, (0.5, 0.1, 0.8)))
    page.mouse.down()
    page.mouse.move(*place_of(page, (-0.5, 0.1, 0.8)), steps=4)
    page.mouse.up()
    on_the_way = (np.abs(UNIT_NORMALS[..., 0]) < 0.45) & (np.abs(UNIT_NORMALS[..., 1] - 0.1) < 0.05)
    stroke = density(page)
    assert (stroke[on_the_way] == 50).all()
    page.get_by_role("button", name="Undo").click()
    assert not painted(page).any()
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    page.get_by_role("button", name="Redo").click()
    assert (density(page) == stroke).all()


def test_a_finger_paints(open_head):
    page = open_head(**PHONE)
    touch = page.context.new_cdp_session(page)
    (x, y), (to_x, to_y) = place_of(page, (0.1, 0.0, 0.99)), place_of(page, CROWN)
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y, "id": 1}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": to_x, "y": to_y, "id": 1}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert area_mm2(painted(page)) > 1.2 * np.pi * 13**2


def test_a_second_finger_turns_the_head_and_takes_the_stroke_that_had_hardly_begun_back(open_head):
    page = open_head(**PHONE)
    touch = page.context.new_cdp_session(page)
    x, y = place_of(page, CROWN)
    yaw = page.evaluate("document.querySelector('turning-head').stage.turning.yaw")
    first, second = {"x": x, "y": y, "id": 1}, {"x": x + 40, "y": y, "id": 2}
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [first]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [first, second]})
    moved = [{**finger, "x": finger["x"] + 60} for finger in (first, second)]
    touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": moved})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert not painted(page).any()
    assert page.evaluate("document.querySelector('turning-head').stage.turning.yaw") != yaw


def pen_dab(page, at, force):
    pen = page.context.new_cdp_session(page)
    pen_at = {"x": at[0], "y": at[1], "pointerType": "pen", "button": "left", "force": force}
    for kind in ("mousePressed", "mouseReleased"):
        pen.send("Input.dispatchMouseEvent", {"type": kind, "clickCount": 1, "buttons": 1, **pen_at})


def test_a_pen_paints_and_narrows_when_it_presses_lightly(open_head):
    page = open_head()
    pen_dab(page, place_of(page, CROWN), force=1.0)
    firm = area_mm2(painted(page))
    page.get_by_role("button", name="Undo").click()
    pen_dab(page, place_of(page, CROWN), force=0.2)
    assert 0 < area_mm2(painted(page)) < 0.5 * firm


def test_dragging_beside_the_scalp_turns_and_paints_nothing(open_head):
    page = open_head()
    box = page.locator(".head-canvas").bounding_box()
    before = place_of(page, CROWN)
    page.mouse.move(box["x"] + 10, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 60, box["y"] + 40, steps=3)
    page.mouse.up()
    assert place_of(page, CROWN) != before
    assert not painted(page).any()
    expect(page.get_by_role("button", name="Top")).to_have_attribute("aria-pressed", "false")


def test_painting_both_sides_mirrors_every_cell(open_head):
    page = open_head()
    page.get_by_label("Paint both sides").check()
    page.mouse.click(*place_of(page, LEFT_CROWN))
    cells = density(page)
    assert painted(page)[:, : GRID // 2].any()
    assert (cells == cells[:, ::-1]).all()


def test_a_soft_edge_thins_out_and_going_over_it_again_in_one_stroke_adds_nothing(open_head):
    page = open_head()
    page.get_by_label("Soft edge").check()
    choose_density(page, "no hair")
    x, y = place_of(page, CROWN)
    page.mouse.click(x, y)
    once = density(page)
    assert len(np.unique(once)) > 5
    page.get_by_role("button", name="Undo").click()
    page.mouse.move(x, y)
    page.mouse.down()
    for _ in range(3):
        page.mouse.move(x + 0.4, y)
        page.mouse.move(x, y)
    page.mouse.up()
    assert np.abs(density(page).astype(int) - once).max() < 30


def test_erasing_brings_hair_back_and_the_left_side_can_be_copied_and_all_cleared(open_head):
    page = open_head(head_html(pattern_start("all-over", HEAD).to_hex()))
    page.get_by_role("radio", name="Erase").check()
    page.mouse.click(*place_of(page, LEFT_CROWN))
    assert (density(page)[INSIDE] == 100).any()
    assert not (density(page)[:, GRID // 2 :][INSIDE[:, GRID // 2 :]] == 100).any()
    page.get_by_role("button", name="Copy left to right").click()
    assert (density(page) == density(page)[:, ::-1]).all()
    page.get_by_role("button", name="Clear").click()
    assert page.locator("[name=density_hex]").input_value() == ALL_FULL


def test_a_pattern_start_is_the_server_s_own_and_can_be_undone(open_head):
    page = open_head()
    page.mouse.click(*place_of(page, CROWN))
    mine = page.locator("[name=density_hex]").input_value()
    page.get_by_label("Pattern").select_option("Widening part")
    page.get_by_role("button", name="Start from this pattern").click()
    assert page.locator("[name=density_hex]").input_value() == mine  # it asks before it takes the place of strokes
    page.get_by_role("button", name="Keep what is painted").click()
    assert page.locator("[name=density_hex]").input_value() == mine
    page.get_by_role("button", name="Start from this pattern").click()
    page.get_by_role("button", name="Replace it").click()
    assert page.locator("[name=density_hex]").input_value() == pattern_start("part", HEAD).to_hex()
    page.locator(".head-canvas").press("Control+z")
    assert page.locator("[name=density_hex]").input_value() == mine


def test_a_pattern_starts_at_once_on_a_head_with_nothing_painted(open_head):
    page = open_head()
    page.get_by_label("Pattern").select_option("Temples")
    page.get_by_role("button", name="Start from this pattern").click()
    assert page.locator("[name=density_hex]").input_value() == pattern_start("temples", HEAD).to_hex()
    assert page.get_by_role("button", name="Replace it").count() == 0


def test_sixty_strokes_can_all_be_undone(open_head):
    page = open_head()
    for k in range(60):
        page.mouse.click(*place_of(page, (0.5 - k / 60, 0.3, 0.8)))
    for _ in range(60):
        page.locator(".head-canvas").press("Control+z")
    assert not painted(page).any()
    page.locator(".head-canvas").press("Control+Shift+z")
    assert painted(page).any()


def test_the_chart_can_be_painted_on_too(open_head):
    page = open_head()
    page.get_by_role("button", name="Chart").click()
    drawn(page)
    page.mouse.click(*place_of(page, (0.8, 0.5, 0.3)))
    rows, columns = np.nonzero(painted(page))
    assert len(rows) > 5
    assert rows.max() < GRID / 2  # forehead up
    assert columns.max() < GRID / 2  # client's left on the left


# Without dragging, without a mouse


def test_arrow_keys_move_a_cursor_and_space_paints_and_says_so(open_head):
    page = open_head()
    canvas = page.locator(".head-canvas")
    canvas.focus()
    canvas.press("1")
    for key in ("ArrowDown", "ArrowDown", "ArrowDown", "Space"):
        canvas.press(key)
    assert (density(page)[painted(page)] == 0).all()
    assert area_mm2(painted(page)) == pytest.approx(np.pi * 13**2, rel=0.15)
    expect(page.locator(".head-stage > [role=status]").last).to_contain_text("Painted no hair.")
    expect(page.locator(".head-stage > [role=status]").last).to_contain_text("on the midline")
    canvas.press("e")
    canvas.press("Enter")
    assert not painted(page).any()


def test_the_keyboard_s_cursor_reaches_every_zone_the_head_turning_along(open_head):
    page = open_head()
    canvas = page.locator(".head-canvas")
    canvas.focus()
    for _ in range(70):
        canvas.press("ArrowDown")
    expect(page.locator(".head-readout")).to_contain_text("Nape")


def test_with_the_turn_tool_the_arrow_keys_turn(open_head):
    page = open_head()
    canvas = page.locator(".head-canvas")
    canvas.focus()
    before = place_of(page, LEFT_CROWN)
    canvas.press("t")
    canvas.press("ArrowLeft")
    assert place_of(page, LEFT_CROWN) != before
    assert not painted(page).any()


def test_a_number_fills_its_zone_and_can_be_undone(open_head):
    page = open_head()
    page.get_by_role("spinbutton", name="Crown").fill("35")
    page.get_by_role("spinbutton", name="Crown").blur()
    wanted = {zone.key: 100 for zone in ZONES} | {"crown": 35}
    assert page.locator("[name=density_hex]").input_value() == loss_map_from_zones(wanted).to_hex()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("spinbutton", name="Crown")).to_have_value("100")


def test_a_number_that_is_no_percentage_paints_nothing_and_stays_as_typed(open_head):
    page = open_head()
    page.get_by_role("spinbutton", name="Nape").fill("140")
    page.get_by_role("spinbutton", name="Nape").blur()
    expect(page.get_by_text("A zone needs a number from 0 to 100.")).to_be_attached()
    expect(page.get_by_role("spinbutton", name="Nape")).to_have_value("140")
    assert not painted(page).any()


def test_painting_brings_the_numbers_up_to_the_server_s_own_means(open_head):
    page = open_head(head_html(pattern_start("top-3", HEAD).to_hex()))
    page.mouse.click(*place_of(page, LEFT_CROWN))
    means = zone_means(LossMap(density(page)), HEAD)
    for zone in ZONES:
        shown = int(page.locator(f"[name='zone_{zone.key}']").input_value())
        assert shown == pytest.approx(means[zone.key], abs=0.5001)
    assert page.locator("form").evaluate("form => form.checkValidity()")


# To look at


def test_a_head_to_look_at_turns_and_has_no_tools(open_head):
    page = open_head(head_html(pattern_start("top-2", HEAD).to_hex(), mode="show"))
    expect(page.get_by_role("group", name="Tool")).to_have_count(0)
    before = page.locator("[name=density_hex]").input_value()
    at = place_of(page, CROWN)
    page.mouse.click(*at)
    page.locator(".head-canvas").press("ArrowRight")
    assert place_of(page, CROWN) != at
    assert page.locator("[name=density_hex]").input_value() == before
    expect(page.get_by_role("spinbutton", name="Mid-scalp")).not_to_be_editable()
    expect(page.get_by_role("spinbutton", name="Mid-scalp")).not_to_have_value("100")


@pytest.mark.parametrize("how", [{}, PHONE, {"color_scheme": "dark"}], ids=["tablet", "phone", "dark"])
@pytest.mark.parametrize("mode", ["paint", "show"])
def test_axe_finds_nothing(open_head, how, mode):
    page = open_head(head_html(mode=mode, draft_key="visit-7"), **how)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_everything_to_press_is_at_least_44_pixels_high_and_wide(open_head):
    page = open_head(**PHONE)
    small = page.evaluate(
        """() => [...document.querySelectorAll(":is(button, .head-choice, select, input:not([type=hidden]))")]
          .map((part) => ["radio", "checkbox"].includes(part.type) ? part.closest("label") : part)
          .map((part) => [part.textContent || part.outerHTML, part.getBoundingClientRect()])
          .filter(([, box]) => box.height < 44 || box.width < 44).map(([words]) => words)"""
    )
    assert small == []
