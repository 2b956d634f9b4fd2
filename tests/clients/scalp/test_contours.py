"""Outlines round the parts of a grid above a level."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from clients.scalp.contours import outlines_at_least

grids = arrays(float, st.tuples(st.integers(2, 8), st.integers(2, 8)), elements=st.floats(-5, 5, width=32))


def area(outlines):
    """Signed areas added up: holes run the other way round."""
    return (
        sum(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)) for x, y in (outline.T for outline in outlines)) / 2
    )


def test_a_cone_has_circles():
    rows, columns = np.indices((101, 101))
    (circle,) = outlines_at_least(40 - np.hypot(rows - 50, columns - 50), 10.0)
    np.testing.assert_allclose(np.hypot(*(circle - 50).T), 30, atol=0.01)


def test_a_ring_has_a_hole():
    rows, columns = np.indices((101, 101))
    outlines = outlines_at_least(-np.abs(np.hypot(rows - 50, columns - 50) - 30), -10.0)
    assert len(outlines) == 2
    assert abs(area(outlines)) == pytest.approx(np.pi * (40**2 - 20**2), rel=0.01)


def test_the_whole_grid_is_outlined_by_its_rim():
    (rim,) = outlines_at_least(np.ones((4, 6)), 0.5)
    assert abs(area([rim])) == pytest.approx(3 * 5)
    assert outlines_at_least(np.ones((4, 6)), 2.0) == []


def test_a_saddle_is_joined_when_its_middle_is_high():
    saddle = np.array([[1.0, 0.0], [0.0, 1.0]])
    for grid in (saddle, saddle[::-1]):
        assert len(outlines_at_least(grid, 0.4)) == 1
        assert len(outlines_at_least(grid, 0.6)) == 2


@given(grids, st.floats(-4, 4))
def test_what_is_inside_and_what_is_outside_fill_the_grid(values, level):
    inside, outside = outlines_at_least(values, level), outlines_at_least(-values, np.nextafter(-level, np.inf))
    whole = (values.shape[0] - 1) * (values.shape[1] - 1)
    assert abs(area(inside)) + abs(area(outside)) == pytest.approx(whole, abs=1e-6 * whole + 1e-9)


def test_the_outlines_are_those_of_another_library():
    find_contours = pytest.importorskip("skimage.measure").find_contours  # an independent marching squares
    values = np.pad(np.random.default_rng(3).random((20, 30)), 1)
    ours = {tuple(np.round(point, 6)) for outline in outlines_at_least(values, 0.5) for point in outline}
    theirs = {tuple(np.round(point, 6)) for outline in find_contours(values, 0.5) for point in outline}
    assert ours == theirs
