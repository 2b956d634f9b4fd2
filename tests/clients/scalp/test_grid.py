"""The equal-area grid of a loss map: where its cells and their samples lie."""

import numpy as np

from clients.scalp.grid import (
    CELL_SOLID_AREA,
    DISK_X,
    DISK_Y,
    GRID,
    INSIDE,
    SAMPLE_SOLID_AREA,
    UNIT_NORMALS,
    disk_coordinates,
    samples,
    unit_normals,
)


def test_row_0_is_the_forehead_and_column_0_the_clients_left():
    assert DISK_X[0, 0] == DISK_Y[0, 0] == 1 - 1 / GRID
    assert UNIT_NORMALS[0, 32, 0] > 0.99
    assert UNIT_NORMALS[32, 0, 1] > 0.99


def test_a_cell_is_inside_when_its_middle_is():
    assert np.array_equal(INSIDE, np.hypot(DISK_X, DISK_Y) <= 1)
    assert not INSIDE[0, 0]
    assert INSIDE.sum() == 3228


def test_normals_are_unit_vectors_of_the_upper_half_also_outside_the_disk():
    np.testing.assert_allclose(np.linalg.norm(UNIT_NORMALS, axis=-1), 1, atol=1e-12)
    assert (UNIT_NORMALS[..., 2] >= 0).all()
    np.testing.assert_allclose(UNIT_NORMALS[~INSIDE][:, 2], 0, atol=1e-12)


def test_disk_coordinates_undo_unit_normals():
    disk = np.stack([DISK_X, DISK_Y], axis=-1)[INSIDE]
    np.testing.assert_allclose(disk_coordinates(unit_normals(*disk.T)), disk, atol=1e-12)


def test_the_cells_stand_for_the_whole_hemisphere():
    assert abs(INSIDE.sum() * CELL_SOLID_AREA / (2 * np.pi) - 1) < 0.01
    assert abs(len(samples().cell) * SAMPLE_SOLID_AREA / (2 * np.pi) - 1) < 0.001


def test_every_sample_belongs_to_a_cell_inside_and_every_cell_inside_has_samples():
    cell, normals = samples()
    assert INSIDE.ravel()[cell].all()
    assert np.array_equal(np.unique(cell), np.flatnonzero(INSIDE))
    nearby = np.linalg.norm(normals - UNIT_NORMALS.reshape(-1, 3)[cell], axis=-1)
    assert nearby.max() < 0.15  # of the head's half-length: within the cell, or in the sliver next to it


def test_samples_come_in_four_mirrored_quarters():
    cell, normals = samples()
    front_left, front_right, back_left, back_right = np.split(normals, 4)
    assert (front_left[:, :2] > 0).all()
    assert np.array_equal(front_right, front_left * (1, -1, 1))
    assert np.array_equal(back_left, front_left * (-1, 1, 1))
    assert np.array_equal(back_right, front_left * (-1, -1, 1))
    row, column = np.divmod(np.split(cell, 4), GRID)
    assert np.array_equal(column[1], GRID - 1 - column[0])
    assert np.array_equal(row[2], GRID - 1 - row[0])
