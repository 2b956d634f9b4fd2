"""static/js/mark-list.js against salon.colour.marks, and chart-patches.js against scikit-image's projections."""

import numpy as np
import pytest
from browser.head_page import ADDRESS, serve_heads
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from skimage.transform import ProjectiveTransform

from salon.colour.marks import CardMark, ChartMark, Marks, Spot, marks_from_json, marks_to_json

pytestmark = pytest.mark.browser

THROUGH = """async (text) => {
  const { MarkList } = await import("/static/js/mark-list.js");
  const list = MarkList.fromJson(text);
  return [list.toJson(), list.isWhole];
}"""
PATCHES = """async (corners) => {
  const { patchMiddles } = await import("/static/js/chart-patches.js");
  return patchMiddles(corners.map(([x, y]) => ({ x, y }))).map(({ x, y }) => [x, y]);
}"""
REGIONS = ("root", "mid", "ends", "pigment", "grey", "shade-12")

shares = st.integers(0, 100_000).map(lambda number: number / 100_000)
spots = st.builds(Spot, shares, shares, st.integers(1, 25_000).map(lambda number: number / 100_000))
marks = st.builds(
    Marks,
    st.none() | st.builds(CardMark, spots),
    st.dictionaries(st.sampled_from(REGIONS), st.lists(spots, min_size=1, max_size=3).map(tuple)),
)


@pytest.fixture
def bare_page(new_context):
    context = new_context()
    serve_heads(context, "<!doctype html><title>Marks</title>")
    page = context.new_page()
    page.goto(ADDRESS)
    return page


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])  # the page holds nothing between examples
@given(placed=marks)
def test_marks_go_through_the_browser_and_come_back_as_they_were(bare_page, placed):
    text, is_whole = bare_page.evaluate(THROUGH, marks_to_json(placed))
    assert marks_from_json(text, regions=REGIONS) == placed
    assert is_whole == (placed.reference is not None and any(placed.spots.values()))


def test_corners_in_any_order_are_sent_going_round_the_chart(bare_page):
    corners = [(0.1, 0.1), (0.6, 0.12), (0.58, 0.4), (0.12, 0.38)]
    zigzag = Marks(ChartMark(tuple(corners[at] for at in (0, 2, 1, 3))), {})
    sent = marks_from_json(bare_page.evaluate(THROUGH, marks_to_json(zigzag))[0], regions=REGIONS).reference.corners
    start = sent.index(corners[0])
    assert [*sent[start:], *sent[:start]] == corners


@pytest.mark.parametrize("text", ["", "{", "null", '{"reference": 3}', '{"spots": {"root": 1}}'])
def test_what_nobody_can_read_is_an_unmarked_photo(bare_page, text):
    assert bare_page.evaluate(THROUGH, text) == ['{"reference":null,"spots":{}}', False]


@pytest.mark.parametrize("seed", range(5))
def test_patches_lie_where_a_projection_takes_them(bare_page, seed):
    random = np.random.default_rng(seed)
    flat = np.array([[0, 0], [5, 0], [5, 3], [0, 3]], dtype=float)
    seen = flat * 60 + random.uniform(-12, 12, (4, 2)) + 100
    grid = np.array([[column, row] for row in range(4) for column in range(6)], dtype=float)
    expected = ProjectiveTransform.from_estimate(flat, seen)(grid)
    np.testing.assert_allclose(bare_page.evaluate(PATCHES, seen.tolist()), expected, atol=1e-6)
