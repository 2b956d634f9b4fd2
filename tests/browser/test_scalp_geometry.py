"""static/js/scalp-geometry.js and head-view.js against clients.scalp: both mean the same point by the same numbers."""

import io
import json

import numpy as np
import pytest
from browser.head_page import ADDRESS, HEAD, head_html, serve_heads
from PIL import Image

from clients.scalp.grid import CELL_SOLID_AREA, DISK_X, DISK_Y, GRID, INSIDE, UNIT_NORMALS
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.views import VIEWS

pytestmark = pytest.mark.browser

HEADS = [HEAD, Head.from_tapes(508, 330, 305), Head.from_tapes(533, 343, 330), Head((100.0, 78.0, 84.0))]
HEAD_IDS = ["assumed", "20/13/12 in", "21/13.5/13 in", "low and long"]

READ_GEOMETRY = """async (axes) => {
  const g = await import("/static/js/scalp-geometry.js");
  const geometry = new g.ScalpGeometry(axes);
  const cells = [...Array(g.CELLS).keys()];
  const normals = cells.map((cell) => [...g.UNIT_NORMALS.subarray(cell * 3, cell * 3 + 3)]);
  const points = normals.map((normal) => geometry.pointAt(normal));
  const rulers = [];
  for (let s = -20; s <= 380; s += 20) for (let t = -240; t <= 240; t += 30) rulers.push([s, t]);
  return {
    solid: g.CELL_SOLID_AREA, normals, points, inside: [...g.INSIDE], areas: [...geometry.cellAreasCm2],
    centres: cells.map((cell) => g.cellCentre(cell)), tapes: points.map((point) => geometry.tapeCoordinates(point)),
    there: cells.map((cell) => g.cellAtDisk(...g.cellCentre(cell))),
    disk: normals.map((normal) => g.diskAtNormal(normal)),
    rulers, onScalp: rulers.map((ruler) => geometry.pointAtTape(ruler)), lengths: geometry.tapes,
  };
}"""


@pytest.fixture
def bare_page(new_context):
    context = new_context()
    serve_heads(context, "<!doctype html><title>Numbers</title>")
    page = context.new_page()
    page.goto(ADDRESS)
    return page


@pytest.mark.parametrize("head", HEADS, ids=HEAD_IDS)
def test_browser_and_server_agree_on_coordinates_areas_and_tapes(bare_page, head):
    read = {
        name: np.array(value) if name != "lengths" else value
        for name, value in bare_page.evaluate(READ_GEOMETRY, list(head.semi_axes_mm)).items()
    }
    inside = INSIDE.ravel()
    assert read["solid"] == CELL_SOLID_AREA
    np.testing.assert_array_equal(read["inside"], inside)
    np.testing.assert_array_equal(read["there"], np.where(inside, np.arange(GRID**2), -1))
    np.testing.assert_allclose(read["centres"].T.reshape(2, GRID, GRID), [DISK_X, DISK_Y], atol=1e-12)
    np.testing.assert_allclose(read["normals"].reshape(GRID, GRID, 3), UNIT_NORMALS, atol=1e-9)
    np.testing.assert_allclose(read["points"].reshape(GRID, GRID, 3), head.cell_points_mm, atol=1e-9)
    np.testing.assert_allclose(read["disk"][inside], read["centres"][inside], atol=1e-9)
    np.testing.assert_allclose(read["areas"].reshape(GRID, GRID), head.cell_areas_cm2, rtol=1e-9)
    np.testing.assert_allclose(list(read["lengths"].values()), head.tapes_mm, rtol=1e-9)
    np.testing.assert_allclose(
        read["tapes"].reshape(GRID, GRID, 2)[INSIDE], head.cell_tape_coordinates[INSIDE], atol=0.01
    )
    np.testing.assert_allclose(read["onScalp"], head.points_at(read["rulers"]), atol=0.01)


def test_the_cells_add_up_to_half_an_ellipsoid_s_area(bare_page):
    # K. Thomsen's approximation (2004, MEMORY): S = 4π ((aᵖbᵖ + aᵖcᵖ + bᵖcᵖ)/3)^(1/p), p = 1.6075, within 1.061 %
    a, b, c = axes = (93.4, 84.3, 131.4)
    p = 1.6075
    half = 2 * np.pi * (((a * b) ** p + (a * c) ** p + (b * c) ** p) / 3) ** (1 / p) / 100
    read = bare_page.evaluate(READ_GEOMETRY, list(axes))
    assert sum(read["areas"]) == pytest.approx(half, rel=0.015)


def test_distance_over_the_surface_is_exact_on_a_sphere(bare_page):
    found = bare_page.evaluate(
        """async () => {
          const { ScalpGeometry } = await import("/static/js/scalp-geometry.js");
          return new ScalpGeometry([100, 100, 100]).distanceMm([0, 0, 1], [Math.sin(0.6), 0, Math.cos(0.6)]);
        }"""
    )
    assert found == pytest.approx(60, abs=1e-9)  # arc = radius × angle


def test_the_stored_form_is_the_server_s(bare_page):
    density = np.full((GRID, GRID), 100.0)
    density[INSIDE] = np.arange(INSIDE.sum()) % 101
    text = LossMap(density).to_hex()
    read_and_written = bare_page.evaluate(
        """async (text) => {
          const { fromHex, toHex } = await import("/static/js/head-map.js");
          return [toHex(fromHex(text)), fromHex(text.slice(2)), fromHex("ff" + text.slice(2)), fromHex("")];
        }""",
        text,
    )
    assert read_and_written == [text, None, None, None]


# The five views: a painted spot is where the server's own drawing would put it


def spot(normal, radius=0.14):
    """A map with no hair round one place and all of it elsewhere."""
    length = np.linalg.norm(normal)
    near = np.linalg.norm(UNIT_NORMALS - np.array(normal) / length, axis=-1) < radius
    return LossMap(np.where(INSIDE & near, 0.0, 100.0)).to_hex()


def seen_at(page, normal):
    """The middle of a spot as painted on the screen, in pixels: found in the picture, not asked of the code."""
    pictures = []
    for hex_text in (LossMap.full().to_hex(), spot(normal)):
        page.evaluate(
            """async (hex) => {
              const { fromHex } = await import("/static/js/head-map.js");
              const head = document.querySelector("turning-head");
              head.map.cells.set(fromHex(hex));
              head.stage.recolour();
              await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
            }""",
            hex_text,
        )
        shot = page.locator(".head-canvas").screenshot()
        pictures.append(np.asarray(Image.open(io.BytesIO(shot)).convert("L"), dtype=float))
    brighter = np.clip(pictures[1] - pictures[0], 0, None)
    assert brighter.max() > 40, "the spot cannot be seen"
    weights = brighter * (brighter > 20)
    y, x = np.indices(weights.shape)
    return np.array([(x * weights).sum(), (y * weights).sum()]) / weights.sum()


SPOTS = {
    "top": ((0.9, 0.0, 0.5), (-0.2, 0.55, 0.8)),
    "front": ((0.9, 0.35, 0.3), (0.75, -0.35, 0.6)),
    "left": ((0.6, 0.7, 0.4), (-0.5, 0.75, 0.5)),
    "right": ((0.6, -0.7, 0.4), (-0.5, -0.75, 0.5)),
    "back": ((-0.85, 0.3, 0.4), (-0.7, -0.35, 0.6)),
}


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_each_view_shows_a_painted_spot_where_the_server_draws_it(new_context, view):
    context = new_context()
    serve_heads(context, head_html(mode="show"))
    page = context.new_page()
    page.goto(ADDRESS)
    page.get_by_role("button", name=view.label, exact=True).click()
    page.get_by_label("Tape lines").uncheck()
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    pair = np.array(SPOTS[view.key])
    pair /= np.linalg.norm(pair, axis=-1, keepdims=True)
    apart = np.subtract(*[seen_at(page, normal) for normal in pair])
    drawn = np.subtract(*view.project(pair * HEAD.semi_axes_mm))
    scale = page.evaluate("document.querySelector('turning-head').stage.view.scale")
    np.testing.assert_allclose(
        apart, drawn * scale, atol=8 * scale
    )  # a spot's middle shifts a little where it curves away


def test_seen_from_the_chair_the_forehead_is_up_and_her_left_is_on_the_left(new_context):
    context = new_context()
    serve_heads(context, head_html())
    page = context.new_page()
    page.goto(ADDRESS)
    page.get_by_label("Tape lines").uncheck()
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    box = page.locator(".head-canvas").bounding_box()
    forehead, left, right = (seen_at(page, n) for n in ((0.95, 0, 0.3), (0.0, 0.7, 0.7), (0.0, -0.7, 0.7)))
    assert forehead[1] < 0.3 * box["height"]
    assert left[0] < 0.45 * box["width"] < 0.55 * box["width"] < right[0]


def test_a_base_is_drawn_on_the_surface_and_follows_its_set_back(new_context):
    def base(set_back_mm):
        outline = [[set_back_mm, -40], [set_back_mm, 40], [set_back_mm + 120, 40], [set_back_mm + 120, -40]]
        clips = [[set_back_mm + 10, 0, True], [set_back_mm + 110, 0, False]]
        return json.dumps([{"label": "Oval 3", "outline": outline, "clips": clips}])

    context = new_context()
    serve_heads(context, head_html(mode="show", bases=base(30)))
    page = context.new_page()
    page.goto(ADDRESS)
    page.locator("turning-head[data-drawn=sharp]").wait_for()
    canvas = page.locator(".head-canvas")

    def picture():
        page.evaluate("new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
        return canvas.screenshot()

    near = picture()
    page.evaluate("(bases) => { document.querySelector('turning-head').dataset.bases = bases }", base(60))
    far = picture()
    page.get_by_label("Base").uncheck()
    none = picture()
    assert len({near, far, none}) == 3
