"""A head of three tapes: its size, and what a tape reads on it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.scalp.grid import INSIDE, samples
from clients.scalp.head import Head, TapesError

AVERAGE = Head.from_tapes()
HEADS = (AVERAGE, Head((100, 100, 100)), Head((130, 90, 70)), Head((80, 95, 120)), Head((93, 84, 93)))
EAR_TO_EAR_HALF = AVERAGE.tapes_mm.ear_to_ear_mm / 2


def points_of(head, count=2000, seed=1):
    normals = np.abs(np.random.default_rng(seed).normal(size=(count, 3)))
    normals *= np.random.default_rng(seed + 1).choice([-1, 1], size=(count, 3))
    normals[:, 2] = np.abs(normals[:, 2])
    return normals / np.linalg.norm(normals, axis=1, keepdims=True) * head.semi_axes_mm


def test_tapes_left_out_are_assumed_and_named():
    head = Head.from_tapes(circumference_mm=571)
    assert head.assumed == ("front_to_nape_mm", "ear_to_ear_mm")
    np.testing.assert_allclose(head.tapes_mm, (571, 356, 343))
    assert AVERAGE.assumed == ("circumference_mm", "front_to_nape_mm", "ear_to_ear_mm")
    assert Head.from_tapes(559, 356, 343).assumed == ()


def test_impossible_tapes_are_refused():
    with pytest.raises(TapesError, match="take it again"):
        Head.from_tapes(circumference_mm=559, front_to_nape_mm=356, ear_to_ear_mm=800)
    assert issubclass(TapesError, ValueError)


@pytest.mark.parametrize("head", HEADS)
def test_the_cells_areas_add_up_to_the_heads(head):
    assert head.cell_areas_cm2.sum() == pytest.approx(head.area_cm2, rel=0.01)
    assert head.sample_areas_cm2.sum() == pytest.approx(head.area_cm2, rel=0.001)
    assert (head.cell_areas_cm2[~INSIDE] == 0).all()
    assert (head.cell_areas_cm2[INSIDE] > 0).all()


def test_what_is_computed_once_cannot_be_written_over():
    for array in (AVERAGE.cell_areas_cm2, AVERAGE.cell_points_mm, AVERAGE.cell_tape_coordinates):
        with pytest.raises(ValueError, match="read-only"):
            array[0, 0] = 1


@pytest.mark.parametrize("head", HEADS)
def test_the_tapes_read_along_the_midline_and_over_the_ears(head):
    a, b, c = head.semi_axes_mm
    front_to_nape, ear_to_ear = head.tapes_mm[1:]
    found = head.tape_coordinates([[a, 0, 0], [0, 0, c], [-a, 0, 0], [0, b, 0], [0, -b, 0]])
    expected = [
        [0, 0],
        [front_to_nape / 2, 0],
        [front_to_nape, 0],
        [front_to_nape / 2, ear_to_ear / 2],
        [front_to_nape / 2, -ear_to_ear / 2],
    ]
    np.testing.assert_allclose(found, expected, atol=1e-6)


@pytest.mark.parametrize("head", HEADS)
def test_the_whole_ear_to_ear_line_is_halfway_along_the_midline(head):
    _, b, c = head.semi_axes_mm
    angle = np.linspace(0, np.pi, 41)
    line = np.stack([b * 1e-17 * np.ones(41), b * np.cos(angle), c * np.sin(angle)], axis=-1)
    s, t = head.tape_coordinates(line).T
    np.testing.assert_allclose(s, head.tapes_mm.front_to_nape_mm / 2, atol=1e-6)
    assert (np.diff(t) < 0).all()
    assert t[20] == pytest.approx(0, abs=1e-9)
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    np.testing.assert_allclose(-np.diff(t), steps, rtol=2e-3)  # chords are a little shorter than the arc


@pytest.mark.parametrize("head", HEADS)
def test_left_and_right_front_and_back_are_mirror_images(head):
    points = points_of(head)
    s, t = head.tape_coordinates(points).T
    np.testing.assert_allclose(head.tape_coordinates(points * (1, -1, 1)), np.stack([s, -t], axis=-1), atol=1e-9)
    behind = head.tape_coordinates(points * (-1, 1, 1))
    np.testing.assert_allclose(behind, np.stack([head.tapes_mm.front_to_nape_mm - s, t], axis=-1), atol=1e-6)
    assert (t[points[:, 1] > 0] > 0).all()


@pytest.mark.parametrize("head", HEADS)
def test_points_at_undoes_tape_coordinates(head):
    points = points_of(head)
    np.testing.assert_allclose(head.points_at(head.tape_coordinates(points)), points, atol=1e-6)


@pytest.mark.parametrize("head", HEADS)
def test_tape_coordinates_stay_on_the_tapes(head):
    s, t = head.tape_coordinates(points_of(head)).T
    circumference, front_to_nape, ear_to_ear = head.tapes_mm
    assert (s >= 0).all()
    assert (s <= front_to_nape).all()
    assert np.abs(t).max() <= max(ear_to_ear / 2, circumference / 4) + 1e-6


def test_near_the_hairline_in_front_and_behind_s_runs_out_smoothly():
    a, _, c = AVERAGE.semi_axes_mm
    angle = np.array([0, 1e-9, 1e-6, 1e-3])
    midline = np.stack([a * np.cos(angle), np.zeros(4), c * np.sin(angle)], axis=-1)
    np.testing.assert_allclose(AVERAGE.tape_coordinates(midline)[:, 0], c * angle, atol=1e-4)
    behind = AVERAGE.tape_coordinates(midline * (-1, 1, 1))[:, 0]
    np.testing.assert_allclose(AVERAGE.tapes_mm.front_to_nape_mm - behind, c * angle, atol=1e-4)
    hairline = np.stack([a * np.cos([0.2, 0.8]), AVERAGE.semi_axes_mm[1] * np.sin([0.2, 0.8]), np.zeros(2)], axis=-1)
    np.testing.assert_allclose(AVERAGE.tape_coordinates(hairline)[:, 0], 0, atol=1e-6)


def test_points_a_little_off_the_surface_are_brought_onto_it():
    points = points_of(AVERAGE, count=50)
    on_it = AVERAGE.tape_coordinates(points)
    np.testing.assert_allclose(AVERAGE.tape_coordinates(points * 1.03), on_it, atol=1e-6)
    below = points.copy()
    below[:, 2] = -0.5
    flat = points * (1, 1, 0)
    np.testing.assert_allclose(AVERAGE.tape_coordinates(below), AVERAGE.tape_coordinates(flat), atol=1e-6)


def test_points_of_any_number_of_axes_come_back_in_their_shape():
    assert AVERAGE.tape_coordinates([93.5, 0, 0]).shape == (2,)
    assert AVERAGE.tape_coordinates(np.zeros((0, 3))).shape == (0, 2)
    assert AVERAGE.points_at(np.zeros((3, 4, 2))).shape == (3, 4, 3)


@pytest.mark.parametrize("points", [[[1, 2]], [[1, np.nan, 2]], 5.0, [[0, 0, 0]]])
def test_what_is_no_point_is_refused(points):
    with pytest.raises(ValueError, match=r"points need|no point of the scalp"):
        AVERAGE.tape_coordinates(points)


def test_what_is_no_tape_coordinate_is_refused():
    with pytest.raises(ValueError, match="two finite numbers"):
        AVERAGE.points_at([[1, np.inf]])


def test_tape_coordinates_beyond_the_scalp_are_brought_to_its_edge():
    a, _, c = AVERAGE.semi_axes_mm
    front, nape, ear = AVERAGE.points_at([[-20, 0], [999, 0], [178, 999]])
    np.testing.assert_allclose(front, (a, 0, 0), atol=1e-6)
    np.testing.assert_allclose(nape, (-a, 0, 0), atol=1e-6)
    np.testing.assert_allclose(ear, (0, AVERAGE.semi_axes_mm[1], 0), atol=1e-6)
    past_the_ear_plane = AVERAGE.points_at([[150, 400]])[0]
    assert past_the_ear_plane[0] == pytest.approx(0, abs=1e-6)
    assert 0 < past_the_ear_plane[2] < c


def test_the_samples_coordinates_are_those_of_their_points():
    some = slice(None, None, 997)
    expected = AVERAGE.tape_coordinates(samples().normals[some] * AVERAGE.semi_axes_mm)
    np.testing.assert_allclose(AVERAGE.sample_tape_coordinates[some], expected, atol=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 2), st.integers(0, 1000))
def test_a_head_of_twice_the_size_reads_twice_the_tape(scale, seed):
    bigger = Head(tuple(axis * scale for axis in AVERAGE.semi_axes_mm))
    points = points_of(AVERAGE, count=20, seed=seed)
    np.testing.assert_allclose(
        bigger.tape_coordinates(points * scale), AVERAGE.tape_coordinates(points) * scale, rtol=1e-6, atol=1e-4
    )
    assert bigger.area_cm2 == pytest.approx(AVERAGE.area_cm2 * scale**2)
