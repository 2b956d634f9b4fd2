"""How far a base reaches on each side, and which way the edges of the thinning have gone."""

import math

import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import place
from fittings.placement.still import edges_moved, margins_in_seat
from pieces.bases.outline import BaseOutline
from tests.fittings.visits import thin_crown

HEAD, RULES = Head.from_tapes(), HouseRules()
BASE = BaseOutline.rounded_rectangle(length_mm=140, width_mm=120)


def margins(loss_map, *, set_back_mm=100.0, side_shift_mm=0.0):
    placement = place(HEAD, loss_map, BASE, set_back_mm=set_back_mm, side_shift_mm=side_shift_mm)
    return placement, margins_in_seat(HEAD, loss_map, BASE, placement, RULES)


def test_the_smallest_of_the_four_is_the_placement_s_own_margin_and_side():
    for set_back in (60.0, 90.0, 120.0):
        placement, found = margins(thin_crown(HEAD), set_back_mm=set_back)
        assert min(found.values()) == placement.margin_mm
        assert found[placement.margin_side] == placement.margin_mm


def test_a_base_pushed_to_the_left_reaches_less_far_on_the_right():
    _, middle = margins(thin_crown(HEAD))
    _, pushed = margins(thin_crown(HEAD), side_shift_mm=10)
    assert middle["left"] == pytest.approx(middle["right"], abs=0.5)
    assert pushed["right"] == pytest.approx(middle["right"] - 10, abs=0.5)


def test_without_thinning_no_side_has_a_margin():
    _, found = margins(LossMap.full())
    assert set(found.values()) == {math.inf}


def test_a_patch_that_grows_all_round_has_moved_outwards_on_every_side():
    moved = edges_moved(HEAD, thin_crown(HEAD, radius_mm=35), thin_crown(HEAD, radius_mm=55), 70)
    assert moved.outwards == ("front", "back", "left", "right")
    assert moved.front == pytest.approx(20, abs=4)
    assert moved.left == pytest.approx(20, abs=4)


def test_a_patch_that_moves_forward_draws_back_behind():
    moved = edges_moved(HEAD, thin_crown(HEAD, middle_mm=190), thin_crown(HEAD, middle_mm=160), 70)
    assert moved.outwards == ("front",)
    assert moved.back == pytest.approx(-30, abs=4)


def test_where_thinning_has_begun_every_edge_has_moved_and_where_there_is_none_nothing_has():
    assert edges_moved(HEAD, LossMap.full(), thin_crown(HEAD), 70).outwards == ("front", "back", "left", "right")
    assert edges_moved(HEAD, LossMap.full(), LossMap.full(), 70).outwards == ()
