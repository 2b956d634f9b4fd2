"""A loss map within its cells: sharp where an edge is, even everywhere else, each cell's mean its own."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.scalp.fine_map import loss_at_samples, next_door
from clients.scalp.grid import GRID, INSIDE, samples
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap

HEAD = Head.from_tapes()


def means(values):
    cell = samples().cell
    counted = np.maximum(np.bincount(cell, minlength=GRID * GRID), 1)
    return (np.bincount(cell, values, minlength=GRID * GRID) / counted).reshape(GRID, GRID)


def from_tape(density_at):
    return LossMap.from_tape_coordinates(HEAD, density_at)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([1, 5, 20]))
def test_every_cell_keeps_its_mean_and_no_sample_leaves_what_is_next_door(seed, block):
    rough = np.random.default_rng(seed).integers(0, 101, size=(GRID, GRID))
    coarse = LossMap(np.kron(rough, np.ones((block, block)))[:GRID, :GRID])
    found = loss_at_samples(coarse)
    np.testing.assert_allclose(means(found)[INSIDE], coarse.loss[INSIDE], atol=1e-6)
    lowest, highest, _ = (one.ravel()[samples().cell] for one in next_door(coarse))
    assert (found >= lowest - 1e-9).all()
    assert (found <= highest + 1e-9).all()


@pytest.mark.parametrize(
    "lost",
    [
        lambda s, t: np.hypot(s - 180, t) < 45,
        lambda s, t: (s < 70) & (np.abs(t) < 50),
        lambda s, t: np.abs(t) < 9,
    ],
)
def test_a_sharp_edge_is_found_again_within_the_cells(lost):
    s, t = HEAD.sample_tape_coordinates.T
    found = loss_at_samples(from_tape(lambda s, t: np.where(lost(s, t), 10, 100)))
    truth = np.where(lost(s, t), 90.0, 0.0)
    even = from_tape(lambda s, t: np.where(lost(s, t), 10, 100)).loss.ravel()[samples().cell]
    assert np.abs(found - truth).mean() < 0.35 * np.abs(even - truth).mean()


def test_loss_that_fades_out_stays_as_it_was():
    faded = from_tape(lambda s, t: 100 - 90 * np.exp(-(((s - 180) / 70) ** 2) - (t / 60) ** 2))
    np.testing.assert_allclose(loss_at_samples(faded), faded.loss.ravel()[samples().cell], atol=6)


def test_a_map_painted_cell_by_cell_stays_what_was_painted():
    density = np.full((GRID, GRID), 100.0)
    density[20:40, 22:42] = 25
    painted = LossMap(density)
    assert np.array_equal(loss_at_samples(painted), painted.loss.ravel()[samples().cell])


def test_a_map_without_loss_has_none_anywhere():
    assert not loss_at_samples(LossMap.full()).any()
