"""What lies between two maps of one head, and how much of it has little hair."""

import math

import numpy as np
import pytest

from clients.scalp.comparing import as_percent, map_change
from clients.scalp.grid import INSIDE, UNIT_NORMALS
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.thin_area import thin_area_cm2

HEAD = Head.from_tapes()
FULL = LossMap.full()


def evenly(percent):
    return LossMap(np.full((64, 64), float(percent)))


def round_patch(radius_mm, percent=0.0, *, left_mm=0.0):
    def density_at(s_mm, t_mm):
        inside = (s_mm - 178) ** 2 + (t_mm - left_mm) ** 2 <= radius_mm**2
        return np.where(inside, percent, 100.0)

    return LossMap.from_tape_coordinates(HEAD, density_at)


def test_no_hair_anywhere_is_the_area_of_the_head_and_a_full_head_is_none():
    assert thin_area_cm2(evenly(0), HEAD) == pytest.approx(HEAD.area_cm2, rel=2e-3)
    assert thin_area_cm2(FULL, HEAD) == 0


def test_exactly_forty_percent_remaining_is_not_under_forty():
    assert thin_area_cm2(evenly(40), HEAD) == 0
    assert thin_area_cm2(evenly(39), HEAD) == pytest.approx(HEAD.area_cm2, rel=2e-3)


def test_on_a_round_head_a_cap_has_the_area_of_archimedes():
    """2πr²(1 − cos θ) for the cap round the top of a sphere of 100 mm."""
    sphere = Head((100.0, 100.0, 100.0))
    cap = LossMap(np.where(UNIT_NORMALS[..., 2] > math.cos(0.6), 0.0, 100.0))
    assert thin_area_cm2(cap, sphere) == pytest.approx(2 * math.pi * 100 * (1 - math.cos(0.6)), rel=0.03)


def test_a_map_against_itself_has_not_changed():
    change = map_change(round_patch(40), round_patch(40), HEAD)
    assert change.is_none
    assert (change.salt_points, change.thin_cm2, change.less_cm2, change.more_cm2) == (0, 0, 0, 0)


def test_the_change_is_now_less_then_in_every_cell():
    change = map_change(evenly(80), evenly(50), HEAD)
    assert (change.points[INSIDE] == -30).all()
    assert (change.points[~INSIDE] == 0).all()
    assert change.salt_points == pytest.approx(30)
    assert set(map(round, change.points_by_zone.values())) == {-30}


def test_the_other_way_round_everything_changes_its_sign():
    one, other = round_patch(40), round_patch(55, 20, left_mm=15)
    there, back = map_change(one, other, HEAD), map_change(other, one, HEAD)
    np.testing.assert_array_equal(there.points, -back.points)
    assert there.salt_points == pytest.approx(-back.salt_points)
    assert there.thin_cm2 == pytest.approx(-back.thin_cm2)
    assert (there.less_cm2, there.more_cm2) == (back.more_cm2, back.less_cm2)


def test_a_patch_that_grows_has_grown_by_the_ring_between():
    change = map_change(round_patch(30), round_patch(45), HEAD)
    s, t = HEAD.sample_tape_coordinates.T
    reach = np.hypot(s - 178, t)
    ring = HEAD.sample_areas_cm2[(reach > 30) & (reach <= 45)].sum()
    assert change.thin_cm2 == pytest.approx(ring, rel=0.03)
    assert ring < math.pi * (4.5**2 - 3.0**2)  # less than on a flat chart, for the scalp bends
    assert change.more_cm2 == 0


def test_a_change_as_a_map_of_percent_has_its_middle_at_fifty_and_ends_at_none_and_all():
    points = np.zeros((64, 64))
    points[20, 20], points[30, 30], points[40, 40] = -80, 80, -20
    density = LossMap.from_hex(as_percent(points)).density
    assert (density[20, 20], density[30, 30], density[40, 40], density[32, 32]) == (0, 100, 30, 50)
