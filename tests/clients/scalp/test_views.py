"""The five views of the head."""

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.views import VIEWS, view_named

HEAD = Head.from_tapes(559, 356, 343)
A, B, C = HEAD.semi_axes_mm
FRONT, NAPE, LEFT_EAR, RIGHT_EAR, TOP = np.array([(A, 0, 0), (-A, 0, 0), (0, B, 0), (0, -B, 0), (0, 0, C)])


def seen(key, point):
    return VIEWS[key].facing(HEAD, point) > 0


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_a_view_turns_the_head_without_bending_or_mirroring_it(view):
    np.testing.assert_allclose(view.axes @ view.axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(view.axes) == pytest.approx(1)


def test_the_top_view_has_the_forehead_up_and_her_left_on_the_left():
    top = VIEWS["top"]
    assert top.project(FRONT)[1] < top.project(NAPE)[1]
    assert top.project(LEFT_EAR)[0] < 0 < top.project(RIGHT_EAR)[0]


def test_the_top_view_leans_25_degrees_so_that_the_front_hairline_shows():
    assert np.degrees(np.arccos(VIEWS["top"].axes[2] @ (0, 0, 1))) == pytest.approx(25)
    assert seen("top", FRONT)
    assert not seen("top", NAPE)


def test_each_side_view_shows_its_side():
    assert seen("left", LEFT_EAR)
    assert not seen("left", RIGHT_EAR)
    assert seen("right", RIGHT_EAR)
    assert not seen("right", LEFT_EAR)
    assert seen("front", FRONT)
    assert not seen("front", NAPE)
    assert seen("back", NAPE)
    assert not seen("back", FRONT)


def test_in_profile_she_looks_outwards():
    assert VIEWS["left"].project(FRONT)[0] < VIEWS["left"].project(NAPE)[0]
    assert VIEWS["right"].project(FRONT)[0] > VIEWS["right"].project(NAPE)[0]
    assert VIEWS["left"].project(FRONT)[1] < VIEWS["left"].project(NAPE)[1]  # the hairline falls towards the nape


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_the_grid_of_what_is_seen_reaches_from_hairline_to_outline(view):
    normals = view.seen_normals(HEAD, 20, 30)
    np.testing.assert_allclose(np.linalg.norm(normals, axis=-1), 1, atol=1e-9)
    facing = view.facing(HEAD, normals * HEAD.semi_axes_mm)
    assert facing.min() > -1e-6
    np.testing.assert_allclose(facing[-1], 0, atol=1e-6)
    np.testing.assert_allclose(normals[0, :, 2], 0, atol=1e-6)


def test_an_unknown_view_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match="the views are top, front, left, right, back"):
        view_named("below")
