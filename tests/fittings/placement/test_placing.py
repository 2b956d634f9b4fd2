"""What a base does where it sits: cover, margin, hold, hair hidden and shown."""

import math

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import place
from fittings.placement.raster import REGIONS
from pieces.bases.construction import Clip, TapeArea
from pieces.bases.outline import BaseOutline

HEAD = Head.from_tapes()
LENGTH = HEAD.tapes_mm.front_to_nape_mm
CROWN_MIDDLE = 178.0
CROWN = LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where(np.hypot(s - CROWN_MIDDLE, t) < 40, 10, 100))
FRONT = LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where((s < 60) & (np.abs(t) < 40), 20, 100))
OVAL = BaseOutline.oval(length_mm=130, width_mm=120)
CAP = BaseOutline.full_cap(length_mm=360, width_mm=350)


def over_crown(loss_map=CROWN, outline=OVAL, **changes):
    return place(HEAD, loss_map, outline, **{"set_back_mm": CROWN_MIDDLE - outline.length_mm / 2, **changes})


def test_a_base_that_holds_all_loss_covers_all_of_it():
    placement = over_crown()
    assert placement.cover == 1
    assert placement.uncovered_cm2 == pytest.approx(0, abs=1e-9)


def test_a_base_elsewhere_covers_nothing():
    placement = over_crown(set_back_mm=0, outline=BaseOutline.oval(length_mm=100, width_mm=120))
    assert placement.cover == 0
    assert placement.uncovered_cm2 == pytest.approx(0.9 * math.pi * 4**2, rel=0.1)  # the scalp is curved


def test_a_base_over_half_the_loss_covers_half_of_it():
    halfway = BaseOutline.full_cap(length_mm=CROWN_MIDDLE, width_mm=350)
    assert place(HEAD, CROWN, halfway, set_back_mm=0).cover == pytest.approx(0.5, abs=0.01)
    assert place(HEAD, CROWN, halfway, set_back_mm=CROWN_MIDDLE).cover == pytest.approx(0.5, abs=0.01)


def test_with_nothing_lost_every_base_covers_and_nothing_has_an_edge():
    placement = over_crown(loss_map=LossMap.full())
    assert placement.cover == 1
    assert set(placement.cover_by_region.values()) == {1.0}
    assert placement.margin_mm == math.inf
    assert placement.margin_side == ""
    assert placement.set_back_to_blend_mm is None


def test_cover_is_told_for_each_region():
    placement = place(HEAD, FRONT, BaseOutline.front_strip(length_mm=30, width_mm=120), set_back_mm=0)
    assert set(placement.cover_by_region) == set(placement.loss_by_region_cm2) == set(REGIONS)
    assert 0.4 < placement.cover_by_region["front"] < 0.8
    assert placement.loss_by_region_cm2["crown"] == 0
    assert placement.cover_by_region["crown"] == 1
    lost = sum(placement.loss_by_region_cm2.values())
    covered = sum(placement.cover_by_region[region] * placement.loss_by_region_cm2[region] for region in REGIONS)
    assert covered / lost == pytest.approx(placement.cover)
    assert lost - covered == pytest.approx(placement.uncovered_cm2)


def test_hidden_and_showing_hair_are_all_the_own_hair():
    small, large = over_crown(), over_crown(outline=BaseOutline.oval(length_mm=160, width_mm=150))
    for placement in (small, large):
        own = placement.own_hair_hidden_cm2 + placement.own_hair_showing_cm2
        assert own == pytest.approx((HEAD.sample_areas_cm2.sum()) - 0.9 * math.pi * 4**2, rel=0.02)
        assert placement.showing_share == pytest.approx(placement.own_hair_showing_cm2 / own)
    assert large.own_hair_hidden_cm2 > small.own_hair_hidden_cm2
    assert large.own_hair_showing_cm2 < small.own_hair_showing_cm2


def test_a_full_cap_longer_than_the_head_hides_it_all():
    placement = place(HEAD, CROWN, CAP, set_back_mm=0)
    assert placement.cover == 1
    assert placement.scalp_under_base_cm2 == pytest.approx(HEAD.area_cm2, rel=0.001)
    assert placement.own_hair_showing_cm2 == pytest.approx(0, abs=1e-6)
    assert placement.showing_share == pytest.approx(0, abs=1e-9)


def test_what_hangs_over_the_nape_covers_nothing():
    over_the_edge = place(HEAD, CROWN, CAP, set_back_mm=CROWN_MIDDLE)
    assert over_the_edge.cover == pytest.approx(0.5, abs=0.01)
    assert place(HEAD, CROWN, CAP, set_back_mm=2 * LENGTH).cover == 0


def test_the_margin_is_the_shortest_way_from_thinning_to_edge():
    placement = over_crown(outline=BaseOutline.full_cap(length_mm=140, width_mm=110), set_back_mm=CROWN_MIDDLE - 70)
    assert placement.margin_mm == pytest.approx(55 - 40, abs=1.5)  # half a cell
    assert placement.margin_side in ("left", "right")
    assert placement.cover == 1


@pytest.mark.parametrize(
    ("changes", "side", "margin"),
    [
        ({"side_shift_mm": 10}, "right", 10),
        ({"side_shift_mm": -10}, "left", 10),
        ({"side_shift_mm": 30}, "right", -10),
        ({"set_back_mm": CROWN_MIDDLE - 50}, "front", 10),
        ({"set_back_mm": CROWN_MIDDLE - 20}, "front", -20),
        ({"set_back_mm": CROWN_MIDDLE - 100}, "back", 0),
    ],
)
def test_the_side_that_falls_short_is_named(changes, side, margin):
    plain = BaseOutline.full_cap(length_mm=140, width_mm=120)
    placement = over_crown(outline=plain, **{"set_back_mm": CROWN_MIDDLE - 70, **changes})
    assert placement.margin_side == side
    assert placement.margin_mm == pytest.approx(margin, abs=1.5)


def test_thinning_past_a_corner_is_as_far_out_as_the_corner_is_away():
    placement = place(HEAD, CROWN, BaseOutline.full_cap(length_mm=60, width_mm=20), set_back_mm=20)
    assert placement.margin_mm < -(CROWN_MIDDLE + 30 - 80)
    assert placement.margin_side == "back"


def test_at_the_hairline_there_is_no_margin_to_owe_in_front():
    wide = BaseOutline.full_cap(length_mm=100, width_mm=110)
    at_hairline, behind = place(HEAD, FRONT, wide, set_back_mm=0), place(HEAD, FRONT, wide, set_back_mm=20)
    assert at_hairline.margin_mm == pytest.approx(15, abs=2.5)  # cells at the rim are twice as long
    assert behind.margin_side == "front"
    assert behind.margin_mm < -10


def test_loss_at_the_hairline_needs_lace_there():
    strip = BaseOutline.front_strip(length_mm=80, width_mm=120)
    plain, lace = (place(HEAD, FRONT, strip, set_back_mm=0, front_edge=edge) for edge in ("plain", "lace"))
    assert plain.loss_reaches_hairline
    assert lace.loss_reaches_hairline
    assert plain.front_edge_needed == "lace"
    assert not plain.front_edge_fits
    assert lace.front_edge_fits
    assert plain.set_back_to_blend_mm is None


def test_loss_behind_the_hairline_leaves_own_hair_to_blend():
    placement = over_crown()
    assert not placement.loss_reaches_hairline
    assert placement.front_edge_fits
    assert placement.set_back_to_blend_mm == pytest.approx(CROWN_MIDDLE - 40 - 13, abs=1.5)


def test_loss_before_the_ears_is_no_loss_at_the_front_hairline():
    sides = LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where(np.abs(t) > 100, 20, 100))
    assert not over_crown(loss_map=sides).loss_reaches_hairline


CLIPS = (Clip(8, 20, 30), Clip(8, -20, 30), Clip(65, 0, 30))


def test_a_clip_holds_where_enough_hair_remains():
    placement = over_crown(clips=CLIPS)
    assert [hold.holds for hold in placement.clips] == [True, True, False]
    assert [hold.density for hold in placement.clips] == pytest.approx([100, 100, 10], abs=0.01)
    assert [hold.clip for hold in placement.clips] == list(CLIPS)
    assert (placement.clips_holding, placement.clips_total) == (2, 3)
    assert placement.front_clip_holds is True
    assert placement.front_edge_needed == "clip"


def test_a_clip_holds_at_the_house_rule_itself():
    even = LossMap.from_tape_coordinates(HEAD, lambda s, t: 40)
    assert over_crown(loss_map=even, clips=CLIPS).clips_holding == 3
    stricter = HouseRules().changed({"clip_hold_percent": 41})
    assert over_crown(loss_map=even, clips=CLIPS, house_rules=stricter).clips_holding == 0


def test_front_clips_that_do_not_hold_ask_for_tape():
    placement = over_crown(clips=CLIPS, set_back_mm=CROWN_MIDDLE - 20)
    assert placement.front_clip_holds is False
    assert placement.front_edge_needed == "tape"


def test_a_base_without_clips_in_front_has_no_front_clip():
    assert over_crown(clips=(Clip(120, 0, 30),)).front_clip_holds is None
    assert over_crown().front_clip_holds is None


def test_a_clip_beyond_the_scalp_does_not_hold():
    assert place(HEAD, CROWN, CAP, set_back_mm=0, clips=[Clip(400, 0, 30)]).clips_holding == 0


def test_turned_round_clips_go_with_the_base():
    bare_left = LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where((t > 0) & (s < CROWN_MIDDLE), 0, 100))
    front_left = (Clip(10, 30, 20),)
    assert over_crown(loss_map=bare_left, clips=front_left).clips_holding == 0
    assert over_crown(loss_map=bare_left, clips=front_left, turned=True).clips_holding == 1
    back_right = (Clip(120, -30, 20),)
    assert over_crown(loss_map=bare_left, clips=back_right).clips_holding == 1
    assert over_crown(loss_map=bare_left, clips=back_right, turned=True).clips_holding == 0


def test_turned_round_the_outline_is_the_reversed_one():
    tapered = BaseOutline.tapered_front(length_mm=130, width_mm=120)
    turned, reversed_one = over_crown(outline=tapered, turned=True), over_crown(outline=tapered.reversed())
    assert turned.cover == reversed_one.cover
    assert turned.own_hair_hidden_cm2 == pytest.approx(reversed_one.own_hair_hidden_cm2, rel=0.002)
    assert turned.own_hair_hidden_cm2 != over_crown(outline=tapered).own_hair_hidden_cm2


def test_a_clip_lies_along_the_nearest_edge():
    ridge = LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where(np.abs(t - 54) < 6, 100, 0))
    beside, in_front = Clip(65, 54, 40), Clip(6, 54, 40)
    holds = over_crown(loss_map=ridge, outline=BaseOutline.full_cap(length_mm=130, width_mm=120), clips=[beside]).clips
    assert holds[0].density > 70
    holds = over_crown(
        loss_map=ridge, outline=BaseOutline.full_cap(length_mm=130, width_mm=140), clips=[in_front]
    ).clips
    assert holds[0].density < 50


def test_tape_holds_on_bare_skin_only():
    areas = (TapeArea(0, 15), TapeArea(50, 80))
    narrow = BaseOutline.full_cap(length_mm=130, width_mm=40)
    placement = over_crown(outline=narrow, tape_areas=areas)
    assert [hold.holds for hold in placement.tapes] == [False, True]
    assert placement.tapes[0].density == pytest.approx(100, abs=0.1)
    assert placement.tapes[1].density == pytest.approx(10, abs=0.1)
    turned = over_crown(outline=narrow, tape_areas=[TapeArea(0, 70)], turned=True).tapes[0]
    assert turned.density == pytest.approx(over_crown(outline=narrow, tape_areas=[TapeArea(60, 130)]).tapes[0].density)


def test_anything_with_a_half_width_can_be_placed():
    class Square:
        length_mm = 120.0
        width_mm = 120.0

        def half_width_mm(self, u_mm):
            return np.where((u_mm >= 0) & (u_mm <= 120), 60.0, 0.0)

    placement = place(HEAD, CROWN, Square(), set_back_mm=CROWN_MIDDLE - 60)
    assert placement.cover == 1
    assert placement.margin_mm == pytest.approx(20, abs=1.5)


@pytest.mark.parametrize("where", [{"set_back_mm": math.nan}, {"set_back_mm": 10, "side_shift_mm": math.inf}])
def test_a_place_that_is_no_number_is_refused(where):
    with pytest.raises(ValueError, match="finite set-back and shift"):
        place(HEAD, CROWN, OVAL, **where)


def test_an_outline_without_length_is_refused():
    class Nothing:
        length_mm = 0.0
        width_mm = 10.0

        def half_width_mm(self, u_mm):
            return np.zeros_like(u_mm)

    with pytest.raises(ValueError, match="a base must have a length above zero, got 0 mm"):
        place(HEAD, CROWN, Nothing(), set_back_mm=0)
