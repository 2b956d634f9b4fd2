"""Pictures of the scalp as SVG."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from scipy.spatial import cKDTree

from clients.scalp.drawing import DENSITY_STEPS, draw_density_key, draw_flat_map, draw_view
from clients.scalp.grid import INSIDE, UNIT_NORMALS
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.views import VIEWS

HEAD = Head.from_tapes(559, 356, 343)
SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")


def all_pictures(loss_map, head=HEAD):
    yield from (draw_view(loss_map, head, view, title=f"From the {view}") for view in VIEWS)
    yield draw_flat_map(loss_map, head, title="Chart")


def drawn(picture):
    return ET.fromstring(picture)  # noqa: S314 - our own text


def points(picture, kind):
    """Absolute corners of all paths of a class, (n, 2)."""
    found = []
    for element in drawn(picture).iter(f"{SVG}path"):
        if element.get("class") == kind:
            for start, walk in re.findall(r"M([^l]*)l([^zM]*)", element.get("d")):
                steps = np.array([float(number) for number in NUMBER.findall(walk)]).reshape(-1, 2)
                first = np.array([float(number) for number in NUMBER.findall(start)])
                found.append(np.vstack([first, first + np.cumsum(steps, axis=0)]))
    return np.vstack(found) if found else np.empty((0, 2))


def fell_together(one, other, within):
    if not len(one) or not len(other):
        return len(one) == len(other)
    return max(cKDTree(one).query(other)[0].max(), cKDTree(other).query(one)[0].max()) <= within


def lopsided_map():
    """Loss on the left only, in every step of the scale."""
    n_y = UNIT_NORMALS[..., 1]
    return LossMap(np.clip(100 - 130 * np.maximum(n_y, 0), 0, 100))


def mirrored(loss_map):
    return LossMap(loss_map.density[:, ::-1])


@pytest.mark.parametrize("pattern", [pattern.key for pattern in PATTERNS])
def test_every_picture_is_well_formed_named_and_free_of_style(pattern):
    for picture in (*all_pictures(pattern_start(pattern, HEAD)), draw_density_key(title="Key")):
        root = drawn(picture)
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        assert root[0].tag == f"{SVG}title"
        assert root[0].text
        for element in root.iter():
            assert element.tag != f"{SVG}style"
            assert element.tag != f"{SVG}script"
            assert not {"style", "id"} & set(element.keys())  # ids would clash when a page shows many


@pytest.mark.parametrize("pattern", [pattern.key for pattern in PATTERNS])
def test_every_picture_is_small(pattern):
    assert max(len(picture.encode()) for picture in all_pictures(pattern_start(pattern, HEAD))) < 40_000


def test_a_ragged_map_still_draws_and_stays_small():
    noise = LossMap(np.random.default_rng(1).uniform(0, 100, (64, 64)))
    for picture in all_pictures(noise):
        assert drawn(picture) is not None
        assert len(picture) < 80_000


def test_a_title_is_written_as_text():
    assert "<title>A &lt;b&gt; &amp; c</title>" in draw_view(LossMap.full(), HEAD, "top", title="A <b> & c")


@pytest.mark.parametrize(("view", "other"), [("top", "top"), ("front", "front"), ("back", "back"), ("left", "right")])
def test_a_mirrored_map_gives_a_mirrored_picture(view, other):
    one = draw_view(lopsided_map(), HEAD, view, title="x")
    two = draw_view(mirrored(lopsided_map()), HEAD, other, title="x")
    for kind in (*(f"density-{step}" for step in range(5)), "scalp-hairs", "scalp-shade", "scalp-edge"):
        assert fell_together(points(one, kind) * (-1, 1), points(two, kind), within=0.21), kind


def test_the_chart_of_a_mirrored_map_is_mirrored():
    one = draw_flat_map(lopsided_map(), HEAD, title="x")
    two = draw_flat_map(mirrored(lopsided_map()), HEAD, title="x")
    for kind in (*(f"density-{step}" for step in range(5)), "scalp-hairs"):
        assert fell_together(points(one, kind) * (-1, 1), points(two, kind), within=0.21), kind


def test_loss_on_her_left_is_drawn_on_the_left_from_above_and_on_the_right_from_the_front():
    thin = {view: lightest(draw_view(lopsided_map(), HEAD, view, title="x")) for view in ("top", "front", "back")}
    assert thin["top"] < 0
    assert thin["back"] < 0
    assert thin["front"] > 0


def lightest(picture):
    """Where, from left to right, the full hair is not: minus the mean x of its outline."""
    return -points(picture, "density-4")[:, 0].mean()


def test_the_chart_is_a_disk_with_the_forehead_up():
    front_only = LossMap(np.where(UNIT_NORMALS[..., 0] > 0.5, 0.0, 100.0))
    chart = draw_flat_map(front_only, HEAD, title="x")
    np.testing.assert_allclose(np.hypot(*points(chart, "scalp-edge").T), 100, atol=0.1)
    assert points(chart, "density-4")[:, 1].max() > 99  # hair reaches the nape
    assert points(chart, "density-4")[:, 1].min() > -70  # and not the forehead


def test_the_more_hair_remains_the_more_strokes_are_drawn():
    counts = []
    for step in DENSITY_STEPS:
        even = LossMap(np.full((64, 64), (step.low + step.high) / 2))
        counts.append(len(points(draw_flat_map(even, HEAD, title="x"), "scalp-hairs")))
    assert counts[0] == 0
    np.testing.assert_allclose(np.diff(counts), counts[-1] / 4, rtol=0.15)


def test_an_even_map_fills_up_to_its_step_and_no_further():
    for number, step in enumerate(DENSITY_STEPS):
        chart = draw_flat_map(LossMap(np.full((64, 64), float(step.brush))), HEAD, title="x")
        assert [f"density-{n}" in chart for n in range(5)] == [n <= number for n in range(5)]


def test_the_chart_prints_each_zones_percentage():
    texts = [element.text for element in drawn(draw_flat_map(LossMap.full(), HEAD, title="x")).iter(f"{SVG}text")]
    assert " ".join(texts).count("100 %") == 9
    assert {"front", "left", "right", "nape"} <= set(texts)
    assert any(text.startswith("Back") for text in texts)


def test_the_steps_meet_and_differ_in_greyscale():
    assert [step.low for step in DENSITY_STEPS] == [0, 20, 40, 60, 80]
    assert [step.high for step in DENSITY_STEPS] == [20, 40, 60, 80, 100]
    assert [step.brush for step in DENSITY_STEPS] == [0, 25, 50, 75, 100]
    rgb2lab = pytest.importorskip("skimage.color").rgb2lab
    colours = np.array([[int(step.fill[i : i + 2], 16) / 255 for i in (1, 3, 5)] for step in DENSITY_STEPS])
    lightness, a, b = rgb2lab(colours).T
    assert (np.diff(lightness) < -8).all()
    assert np.ptp(np.degrees(np.arctan2(b, a))) < 25  # one hue


def test_the_head_on_screen_has_the_same_scale():
    css = (Path(__file__).parents[3] / "static" / "css" / "turning-head.css").read_text(encoding="utf-8")
    for step in DENSITY_STEPS:
        assert f"--density-{step.brush}: {step.fill};" in css


def test_a_larger_head_is_drawn_larger():
    small, large = (
        np.ptp(points(draw_view(LossMap.full(), Head.from_tapes(559 * k, 356 * k, 343 * k), "front", title="x"),
                      "density-4"), axis=0)
        for k in (0.9, 1.1)
    )  # fmt: skip  # one thought
    np.testing.assert_allclose(large / small, 1.1 / 0.9, rtol=0.01)


def test_cells_outside_the_disk_do_not_tint_the_hairline():
    bare = LossMap(np.where(INSIDE, 0.0, 100.0))
    for picture in all_pictures(bare):
        assert "density-1" not in picture


def test_the_key_names_every_step():
    text = " ".join(element.text for element in drawn(draw_density_key(title="x")).iter(f"{SVG}text"))
    for step in DENSITY_STEPS:
        assert f"{step.low}–{step.high} %" in text
        assert step.label in text
