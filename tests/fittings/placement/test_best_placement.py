"""The best seat of one base: by cover, hold, margin, hidden hair and the house set-back, in that order."""

from types import SimpleNamespace

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import best_placement, place, placements_by_set_back
from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

HEAD = Head.from_tapes()
RULES = HouseRules()
LENGTH = HEAD.tapes_mm.front_to_nape_mm
OVAL = BaseOutline.oval(length_mm=140, width_mm=120)


def thinned(where, density=10):
    return LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where(where(s, t), density, 100))


CROWN = thinned(lambda s, t: np.hypot(s - 200, t) < 40)
FRONT = thinned(lambda s, t: (s < 60) & (np.abs(t) < 40))


def every_seat(loss_map, base):
    outline = base.outline
    return [
        place(HEAD, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift, turned=turned, clips=base.clips)
        for turned in ((False, True) if base.two_way else (False,))
        for set_back in np.arange(0, max(LENGTH - outline.length_mm, 0) + 1e-6, 5)
        for shift in (-10, 0, 10)
    ]


@pytest.mark.parametrize("two_way", [False, True])
@pytest.mark.parametrize("kind", OUTLINE_KINDS)
def test_the_best_seat_is_best_among_all_of_them(kind, two_way):
    clips = (Clip(8, 20, 30), Clip(8, -20, 30), Clip(100, 0, 30))
    base = BaseShape("x", BaseOutline.named(kind, length_mm=120, width_mm=100), clips, two_way=two_way)
    lopsided = thinned(lambda s, t: np.hypot(s - 190, t - 12) < 45)
    best, seats = best_placement(HEAD, lopsided, base), every_seat(lopsided, base)
    close = [seat for seat in seats if seat.cover >= max(seat.cover for seat in seats) - 0.01 + 1e-6]
    assert best.cover >= max(seat.cover for seat in seats) - 0.01 - 1e-6
    assert best.clips_holding == max(seat.clips_holding for seat in close)
    holding = [seat for seat in close if seat.clips_holding == best.clips_holding]
    widest = min(max(seat.margin_mm for seat in holding), RULES.margin_mm)
    assert best.margin_mm >= min(widest, RULES.margin_mm) - 3.5 or widest < 0
    holding = [seat for seat in holding if seat.margin_mm >= best.margin_mm]
    own = best.own_hair_hidden_cm2 + best.own_hair_showing_cm2
    assert best.own_hair_hidden_cm2 <= min(seat.own_hair_hidden_cm2 for seat in holding) + 0.011 * own


def test_a_best_placement_says_what_place_says_there():
    base = BaseShape("x", OVAL, (Clip(8, 20, 30),), (TapeArea(0, 20),), "lace", two_way=True)
    best = best_placement(HEAD, CROWN, base)
    again = place(
        HEAD,
        CROWN,
        OVAL,
        set_back_mm=best.set_back_mm,
        side_shift_mm=best.side_shift_mm,
        turned=best.turned,
        clips=base.clips,
        tape_areas=base.tape_areas,
        front_edge="lace",
    )
    assert again == best


def test_a_base_that_can_keeps_the_margin_on_every_side():
    best = best_placement(HEAD, CROWN, OVAL)
    assert best.cover == 1
    assert best.margin_mm >= RULES.margin_mm
    wider = RULES.changed({"margin_mm": 16})
    assert best_placement(HEAD, CROWN, OVAL, wider).margin_mm >= 16


def test_a_base_that_cannot_keep_the_margin_still_hides_all_thinning_where_it_can():
    tight = best_placement(HEAD, CROWN, BaseOutline.oval(length_mm=100, width_mm=95))
    assert 3 <= tight.margin_mm < RULES.margin_mm
    left = thinned(lambda s, t: np.hypot(s - 200, t - 20) < 40)
    assert best_placement(HEAD, left, OVAL).margin_mm == pytest.approx(10, abs=1.5)


def test_of_seats_alike_the_one_nearest_the_house_set_back_is_taken():
    long_base = BaseOutline.rounded_rectangle(length_mm=200, width_mm=130)
    further_back = RULES.changed({"set_back_mm": 80})
    assert (
        best_placement(HEAD, CROWN, long_base).set_back_mm
        < best_placement(HEAD, CROWN, long_base, further_back).set_back_mm
    )


def test_a_base_over_even_loss_sits_on_the_midline():
    assert best_placement(HEAD, CROWN, OVAL).side_shift_mm == 0
    left = thinned(lambda s, t: np.hypot(s - 200, t - 20) < 40)
    assert best_placement(HEAD, left, OVAL).side_shift_mm == 10


def test_lace_on_loss_at_the_hairline_sits_at_the_hairline():
    best = best_placement(HEAD, FRONT, BaseShape("x", OVAL, front_edge="lace"))
    assert best.set_back_mm == 0
    assert best.front_edge_fits


def test_lace_on_loss_further_back_sits_over_the_loss():
    assert best_placement(HEAD, CROWN, BaseShape("x", OVAL, front_edge="lace")).set_back_mm > 50


def test_a_two_way_base_turns_its_wide_end_to_wide_loss():
    pear = thinned(lambda s, t: (s > 90) & (s < 230) & (np.abs(t) < np.where(s < 150, 55, 35)))
    tapered = BaseOutline.tapered_front(length_mm=170, width_mm=120)
    one_way, two_way = (best_placement(HEAD, pear, BaseShape("x", tapered, two_way=both)) for both in (False, True))
    assert two_way.turned
    assert two_way.cover > one_way.cover


def test_where_both_ways_serve_the_smaller_end_goes_to_the_front():
    cover_all = BaseOutline.tapered_back(length_mm=170, width_mm=150)
    best = best_placement(HEAD, CROWN, BaseShape("x", cover_all, two_way=True))
    assert best.turned
    assert best.cover == 1


def test_a_cap_longer_than_the_head_has_one_set_back():
    cap = BaseOutline.full_cap(length_mm=400, width_mm=350)
    assert best_placement(HEAD, CROWN, cap).set_back_mm == 0
    assert [placement.set_back_mm for placement in placements_by_set_back(HEAD, CROWN, cap)] == [0]


def test_a_head_without_loss_has_a_best_seat_too():
    best = best_placement(HEAD, LossMap.full(), OVAL)
    assert best.cover == 1
    assert best.side_shift_mm == 0


def test_anything_made_like_a_base_will_do():
    base = SimpleNamespace(outline=OVAL, clips=[], tape_areas=[], front_edge="plain", two_way=False)
    assert best_placement(HEAD, CROWN, base) == best_placement(HEAD, CROWN, OVAL)


def test_the_slider_runs_in_5_mm_steps_at_the_best_shift_and_way():
    base = BaseShape("x", BaseOutline.tapered_back(length_mm=140, width_mm=120), two_way=True)
    best, row = best_placement(HEAD, CROWN, base), placements_by_set_back(HEAD, CROWN, base)
    assert [placement.set_back_mm for placement in row] == list(np.arange(0, LENGTH - 140, 5))
    assert {(placement.side_shift_mm, placement.turned) for placement in row} == {(best.side_shift_mm, best.turned)}
    assert best in row
