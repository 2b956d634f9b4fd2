"""Finding the patches of a chart: however it hangs, whichever corner was marked first, at a slant, and not at all."""

import io
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from salon.colour.chart_finding import chart_places, patches_of
from salon.colour.charts import chart_xyz
from salon.colour.lab import LINEAR_RGB_OF_XYZ
from tests.salon.colour.synthetic_cameras import PERFECT, chart_mark, take_picture

XYZ = chart_xyz("after")
LINEAR = np.clip(XYZ @ LINEAR_RGB_OF_XYZ.T, 0, 1)
PHOTO = np.asarray(Image.open(io.BytesIO(take_picture(3, camera=PERFECT).jpeg)))
HEIGHT, WIDTH = PHOTO.shape[:2]
CORNERS = np.array(chart_mark().corners) * [WIDTH, HEIGHT]


def assert_is_the_chart(patches):
    np.testing.assert_allclose(patches, LINEAR, rtol=0.03, atol=0.006)


def test_the_corner_patches_fix_where_all_others_are():
    columns, rows = np.meshgrid(np.arange(6), np.arange(4))
    upright = chart_places([(10, 20), (60, 20), (60, 50), (10, 50)], np.stack([columns, rows], axis=-1))
    np.testing.assert_allclose(upright, np.stack([10 + 10 * columns, 20 + 10 * rows], axis=-1))


@given(st.lists(st.floats(-0.1, 0.1), min_size=8, max_size=8))
def test_in_perspective_lines_of_the_chart_stay_lines_and_corners_stay_put(moves):
    corners = np.array([(0, 0), (5, 0), (5, 3), (0, 3)]) + np.reshape(moves, (4, 2))
    np.testing.assert_allclose(chart_places(corners, [(0, 0), (5, 0), (5, 3), (0, 3)]), corners, atol=1e-9)
    first, middle, last = chart_places(corners, [(0, 1), (2, 1), (5, 1)])
    one, other = last - first, middle - first
    assert one[0] * other[1] == pytest.approx(one[1] * other[0], abs=1e-9)


@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_the_corners_may_be_marked_in_any_order(order):
    assert_is_the_chart(patches_of(PHOTO, CORNERS[list(order)], XYZ))


TURNS = {
    "upright": (PHOTO, CORNERS),
    "upside down": (PHOTO[::-1, ::-1], [WIDTH, HEIGHT] - CORNERS),
    "mirrored": (PHOTO[:, ::-1], [WIDTH, 0] - CORNERS * [1, -1]),
    "on its side": (PHOTO.swapaxes(0, 1), CORNERS[:, ::-1]),
    "on its other side": (PHOTO.swapaxes(0, 1)[::-1], [0, WIDTH] - CORNERS[:, ::-1] * [-1, 1]),
}


@pytest.mark.parametrize("turn", TURNS)
def test_the_chart_may_hang_as_it_likes(turn):
    photo, corners = TURNS[turn]
    assert_is_the_chart(patches_of(photo, corners, XYZ))


def test_a_chart_held_at_a_slant_is_read():
    def slanted(x, y):  # a point of the upright photo, on the photo taken from one side
        depth = 1 + 0.0006 * x + 0.0004 * y
        return (x + 0.1 * y) / depth, (y + 0.05 * x) / depth

    upright = [(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)]
    seen = [slanted(*corner) for corner in upright]
    rows = [
        row
        for (x, y), (u, v) in zip(upright, seen, strict=True)
        for row in (
            [u, v, 1, 0, 0, 0, -u * x, -v * x],
            [0, 0, 0, u, v, 1, -u * y, -v * y],
        )
    ]
    back = np.linalg.solve(rows, np.ravel(upright))
    photo = Image.fromarray(PHOTO).transform(
        (WIDTH, HEIGHT), Image.Transform.PERSPECTIVE, back.tolist(), Image.Resampling.BILINEAR
    )
    assert_is_the_chart(patches_of(np.asarray(photo), [slanted(*corner) for corner in CORNERS], XYZ))


@given(st.lists(st.floats(-8, 8), min_size=8, max_size=8))
def test_marks_a_little_off_the_middles_still_lie_on_the_patches(moves):
    assert_is_the_chart(patches_of(PHOTO, CORNERS + np.reshape(moves, (4, 2)), XYZ))  # a patch is 42 pixels wide


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([CORNERS[0]] * 4, "two marks lie on the same patch"),
        ([CORNERS[0], CORNERS[1], (CORNERS[0] + CORNERS[1]) / 2, CORNERS[3]], "lies between the others"),
        ([CORNERS[0], CORNERS[1], CORNERS.mean(axis=0), CORNERS[3]], "lies between the others"),
        (CORNERS / 12, "too small on the photo"),
        ([CORNERS[0], CORNERS[1], CORNERS[2], CORNERS[2] + [-9, 4]], "two marks lie on the same patch"),
    ],
)
def test_corners_that_span_no_chart_are_refused(corners, words):
    with pytest.raises(ValueError, match=words):
        patches_of(PHOTO, corners, XYZ)
