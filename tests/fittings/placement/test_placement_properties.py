"""What must hold of a placement whatever the head, the loss, the base and its seat."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import best_placement, place
from pieces.bases.construction import BaseShape, Clip
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

HEADS = [Head.from_tapes(*tapes) for tapes in ((559, 356, 343), (508, 330, 305), (610, 370, 390))]
few = settings(max_examples=25, deadline=None)


def spots(head, seed):
    """A map of a few thinned spots of any size and strength, the same for the same seed."""
    rng = np.random.default_rng(seed)

    def density_at(s, t):
        density = np.full_like(s, 100)
        for _ in range(rng.integers(1, 4)):
            middle_s, middle_t = rng.uniform(0, 356), rng.uniform(-70, 70)
            length, width, left = rng.uniform(15, 90), rng.uniform(15, 70), rng.uniform(0, 80)
            inside = ((s - middle_s) / length) ** 2 + ((t - middle_t) / width) ** 2 < 1
            density = np.where(inside, np.minimum(density, left), density)
        return density

    return LossMap.from_tape_coordinates(head, density_at)


heads = st.sampled_from(HEADS)
seeds = st.integers(0, 10_000)
outlines = st.builds(
    BaseOutline.named, st.sampled_from(OUTLINE_KINDS), length_mm=st.floats(40, 380), width_mm=st.floats(40, 350)
)
set_backs, shifts = st.floats(0, 250), st.floats(-30, 30)


class Grown:
    """An outline that reaches further to the sides and to the back than another."""

    def __init__(self, outline, wider, longer):
        self.inner, self.wider = outline, wider
        self.length_mm, self.width_mm = outline.length_mm + longer, outline.width_mm + 2 * wider

    def half_width_mm(self, u_mm):
        within = (u_mm >= 0) & (u_mm <= self.length_mm)
        return np.where(within, self.inner.half_width_mm(u_mm) + self.wider, 0)


@few
@given(heads, seeds, outlines, set_backs, shifts, st.floats(0, 40), st.floats(0, 60))
def test_a_bigger_base_at_the_same_place_never_covers_less(head, seed, outline, set_back, shift, wider, longer):
    loss_map, seat = spots(head, seed), {"set_back_mm": set_back, "side_shift_mm": shift}
    small = place(head, loss_map, outline, **seat)
    big = place(head, loss_map, Grown(outline, wider, longer), **seat)
    assert big.cover >= small.cover - 1e-9
    assert big.own_hair_hidden_cm2 >= small.own_hair_hidden_cm2 - 1e-9
    for region, cover in small.cover_by_region.items():
        assert big.cover_by_region[region] >= cover - 1e-9


@few
@given(heads, seeds, outlines, set_backs, shifts, st.booleans())
def test_mirroring_head_and_base_changes_nothing(head, seed, outline, set_back, shift, turned):
    loss_map = spots(head, seed)
    mirrored_map = LossMap(loss_map.density[:, ::-1])
    clips = (Clip(outline.length_mm / 4, outline.width_mm / 5, 30), Clip(outline.length_mm / 2, 10, 25))
    mirrored_clips = tuple(replace(clip, v_mm=-clip.v_mm) for clip in clips)
    once = place(head, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift, turned=turned, clips=clips)
    mirrored = place(
        head, mirrored_map, outline, set_back_mm=set_back, side_shift_mm=-shift, turned=turned, clips=mirrored_clips
    )
    other_side = {"left": "right", "right": "left"}
    assert mirrored.cover == pytest.approx(once.cover, abs=1e-9)
    assert mirrored.uncovered_cm2 == pytest.approx(once.uncovered_cm2, abs=1e-6)
    assert mirrored.own_hair_hidden_cm2 == pytest.approx(once.own_hair_hidden_cm2, abs=1e-6)
    assert mirrored.margin_mm == pytest.approx(once.margin_mm, abs=1e-6)
    if abs(once.margin_mm) < np.inf:
        assert mirrored.margin_side in (other_side.get(once.margin_side, once.margin_side), once.margin_side)
    assert [hold.density for hold in mirrored.clips] == pytest.approx([hold.density for hold in once.clips], abs=1e-6)


@few
@given(heads, seeds, st.floats(15, 60), st.floats(15, 60), st.floats(90, 250), st.floats(-20, 20))
def test_cover_is_1_when_the_base_holds_all_loss(head, seed, length, width, middle, shift):
    density = np.random.default_rng(seed).uniform(0, 90)
    lost = LossMap.from_tape_coordinates(
        head,
        lambda s, t: np.where(((s - middle) / length) ** 2 + ((t - shift) / width) ** 2 < 1, density, 100),
    )
    base = BaseOutline.full_cap(length_mm=2 * length + 24, width_mm=2 * width + 24)
    placement = place(head, lost, base, set_back_mm=middle - length - 12, side_shift_mm=shift)
    assert placement.cover == 1
    assert placement.uncovered_cm2 == pytest.approx(0, abs=1e-6)
    assert placement.margin_mm > 0


@few
@given(heads, seeds, outlines, set_backs, shifts, st.floats(0.6, 1.8))
def test_scaling_head_and_base_together_changes_nothing(head, seed, outline, set_back, shift, scale):
    loss_map = spots(head, seed)
    bigger_head = Head(tuple(axis * scale for axis in head.semi_axes_mm))
    bigger = replace(outline, length_mm=outline.length_mm * scale, width_mm=outline.width_mm * scale)
    once = place(head, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift)
    scaled = place(bigger_head, loss_map, bigger, set_back_mm=set_back * scale, side_shift_mm=shift * scale)
    assert scaled.cover == pytest.approx(once.cover, abs=1e-3)
    assert scaled.uncovered_cm2 == pytest.approx(once.uncovered_cm2 * scale**2, rel=0.01, abs=0.1)


@few
@given(heads, seeds, outlines, set_backs, shifts, st.booleans())
def test_what_is_under_and_what_is_not_add_up(head, seed, outline, set_back, shift, turned):
    loss_map = spots(head, seed)
    placement = place(head, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift, turned=turned)
    lost = sum(placement.loss_by_region_cm2.values())
    own = placement.own_hair_hidden_cm2 + placement.own_hair_showing_cm2
    assert 0 <= placement.cover <= 1
    assert placement.uncovered_cm2 == pytest.approx(lost * (1 - placement.cover), abs=1e-6)
    assert lost + own == pytest.approx(head.sample_areas_cm2.sum())
    assert 0 <= placement.showing_share <= 1
    assert placement.scalp_under_base_cm2 == pytest.approx(
        placement.own_hair_hidden_cm2 + lost - placement.uncovered_cm2, abs=1e-6
    )


@few
@given(heads, seeds, outlines, set_backs, st.integers(0, 100), st.integers(0, 100))
def test_hold_counts_agree_with_the_clips_and_a_stricter_rule_holds_no_more(
    head, seed, outline, set_back, first, second
):
    low, high = sorted((first, second))
    rng = np.random.default_rng(seed)
    clips = [
        Clip(outline.length_mm * along, outline.width_mm * across / 2, 30)
        for along, across in zip(rng.uniform(0, 1, 5), rng.uniform(-1, 1, 5), strict=True)
    ]
    loss_map = spots(head, seed)
    held = {}
    for percent in (low, high):
        rules = HouseRules().changed({"clip_hold_percent": percent})
        placement = place(head, loss_map, outline, set_back_mm=set_back, clips=clips, house_rules=rules)
        assert placement.clips_total == 5
        assert placement.clips_holding == sum(hold.density >= percent for hold in placement.clips)
        assert all(0 <= hold.density <= 100 + 1e-6 for hold in placement.clips)
        held[percent] = placement.clips_holding
    assert held[high] <= held[low]


@few
@given(heads, seeds, outlines, st.booleans())
def test_the_best_seat_covers_no_less_than_any_tried_by_more_than_a_percent(head, seed, outline, two_way):
    loss_map = spots(head, seed)
    best = best_placement(head, loss_map, BaseShape("x", outline, two_way=two_way))
    rng = np.random.default_rng(seed)
    furthest = max(head.tapes_mm.front_to_nape_mm - outline.length_mm, 0)
    for set_back in 5 * rng.integers(0, int(furthest / 5) + 1, size=5):
        seat = place(
            head, loss_map, outline, set_back_mm=set_back, side_shift_mm=rng.choice([-10, 0, 10]), turned=False
        )
        assert best.cover >= seat.cover - 0.01 - 1e-6
