"""A loss map: what it takes, what it refuses, how it is stored."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.scalp.grid import INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import HEX_LENGTH, LossMap, LossMapError

AVERAGE = Head.from_tapes()


def test_outside_the_disk_nothing_is_lost():
    empty = LossMap(np.zeros((64, 64)))
    assert (empty.density[~INSIDE] == 100).all()
    assert (empty.loss[~INSIDE] == 0).all()
    assert (empty.loss[INSIDE] == 100).all()


def test_the_full_map_has_no_loss():
    assert (LossMap.full().loss == 0).all()


def test_a_map_keeps_its_own_copy_and_lets_nobody_write():
    given_density = np.full((64, 64), 60.0)
    kept = LossMap(given_density)
    given_density[:] = 0
    assert kept.density[32, 32] == 60
    with pytest.raises(ValueError, match="read-only"):
        kept.density[32, 32] = 0


@pytest.mark.parametrize(
    ("density", "words"),
    [
        (np.zeros((32, 32)), r"64 × 64 cells, got shape \(32, 32\)"),
        (np.full((64, 64), 101.0), "0 to 100 percent; row 0, column 26 says 101"),
        (np.full((64, 64), -1.0), "says -1"),
        (np.full((64, 64), np.nan), "says nan"),
    ],
)
def test_what_is_no_density_is_refused_with_the_place(density, words):
    with pytest.raises(LossMapError, match=words):
        LossMap(density)


def test_what_stands_outside_the_disk_is_ignored():
    density = np.full((64, 64), 50.0)
    density[0, 0] = np.nan
    assert LossMap(density).density[0, 0] == 100


@given(st.integers(0, 2**32))
def test_the_stored_form_gives_whole_percents_back(seed):
    density = np.random.default_rng(seed).integers(0, 101, size=(64, 64))
    stored = LossMap(density).to_hex()
    assert len(stored) == HEX_LENGTH
    assert stored == stored.lower()
    assert LossMap.from_hex(stored) == LossMap(density)


def test_the_stored_form_goes_row_by_row_two_digits_a_cell():
    density = np.full((64, 64), 100.0)
    density[1, 32], density[32, 0] = 10, 0
    stored = LossMap(density).to_hex()
    assert stored[2 * (64 + 32) :][:2] == "0a"
    assert stored[2 * (32 * 64) :][:2] == "00"
    assert stored[:2] == "64"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("64" * 100, "8192 hexadecimal digits, got 200 characters"),
        ("64" * 4095 + "6g", "character 8192 is 'g'"),
        ("64" * 40 + " 6" + "64" * 4055, "character 81 is ' '"),
        ("ff" * 4096, "holds 00 to 64 a cell; row 0, column 0 holds ff"),
    ],
)
def test_a_damaged_stored_map_is_refused_with_the_place(text, words):
    with pytest.raises(LossMapError, match=words):
        LossMap.from_hex(text)


def test_equal_maps_are_equal_and_count_once():
    one, other = LossMap(np.full((64, 64), 30)), LossMap(np.full((64, 64), 30.0))
    assert one == other
    assert len({one, other, LossMap.full()}) == 2
    assert one != "30"


def test_a_density_in_tape_coordinates_lands_where_the_tape_says():
    front_left = LossMap.from_tape_coordinates(AVERAGE, lambda s, t: np.where((s < 60) & (t > 5), 20, 100))
    s, t = np.moveaxis(AVERAGE.cell_tape_coordinates, -1, 0)
    assert (front_left.density[INSIDE & (s < 50) & (t > 12)] == 20).all()
    assert (front_left.density[INSIDE & ((s > 70) | (t < -5))] == 100).all()


def test_a_cell_that_an_edge_crosses_holds_the_mean():
    parting = LossMap.from_tape_coordinates(AVERAGE, lambda s, t: np.where(np.abs(t) < 3, 0, 100))
    lost = (AVERAGE.cell_areas_cm2 * parting.loss).sum() / 100
    assert lost == pytest.approx(0.6 * 35.6, rel=0.05)  # 6 mm wide, 356 mm long
    assert len(np.unique(parting.density)) > 3


def test_one_number_is_the_density_everywhere():
    assert LossMap.from_tape_coordinates(AVERAGE, lambda s, t: 40) == LossMap(np.full((64, 64), 40))


def test_a_density_of_another_shape_or_beyond_100_is_refused():
    with pytest.raises(LossMapError, match="was asked for, got shape"):
        LossMap.from_tape_coordinates(AVERAGE, lambda s, t: s[:10])
    with pytest.raises(LossMapError, match="0 to 100 percent, got 0 to 178"):
        LossMap.from_tape_coordinates(AVERAGE, lambda s, t: np.where(s > 178, 178, 0))
    with pytest.raises(LossMapError, match="got nan to nan"):
        LossMap.from_tape_coordinates(AVERAGE, lambda s, t: s * np.nan)


def test_a_map_says_how_much_is_lost():
    assert repr(LossMap(np.full((64, 64), 75))) == "LossMap(3228 cells with loss, 25.0 percent of all hair lost)"
