"""What a painted map suggests: the nearest stage of each scale, never a lower one for more loss, and a reason."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from clients.scalp.grid import DISK_X, DISK_Y, INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.scales import SCALES, scale_named
from clients.scalp.suggesting import suggested_stages

HEAD = Head.from_tapes(559, 356, 343)
HEADS = [HEAD, *(Head.from_tapes(*tapes) for tapes in ((508, 330, 305), (620, 330, 390), (540, 370, 330)))]
SHAPED = [(scale.key, stage) for scale in SCALES for stage in scale.stages if stage.pattern]
SHAPES = {pattern.key: pattern_start(pattern.key, HEAD).loss for pattern in PATTERNS}


def by_scale(loss_map, head=HEAD):
    return {suggestion.scale: suggestion for suggestion in suggested_stages(loss_map, head)}


def degrees(loss_map):
    """The degree suggested of each scale that has one."""
    found = suggested_stages(loss_map, HEAD)
    return {one.scale: scale_named(one.scale).stage(one.stage).degree for one in found if one.stage}


@pytest.mark.parametrize("head", HEADS, ids=lambda head: "/".join(f"{tape:.0f}" for tape in head.tapes_mm))
@pytest.mark.parametrize(("scale", "stage"), SHAPED, ids=[f"{scale} {stage.key}" for scale, stage in SHAPED])
def test_every_shape_suggests_its_own_stage_on_every_head(scale, stage, head):
    kept = LossMap.from_hex(pattern_start(stage.pattern, head).to_hex())
    suggested = by_scale(kept, head)[scale]
    assert suggested.stage == stage.key
    assert suggested.nearness > 0.98
    assert suggested.because.endswith(".")


@pytest.mark.parametrize(("scale", "stage"), SHAPED, ids=[f"{scale} {stage.key}" for scale, stage in SHAPED])
def test_the_nearest_stage_of_a_shape_is_its_own(scale, stage):
    assert suggested_stages(pattern_start(stage.pattern, HEAD), HEAD)[0].scale == scale


def test_a_map_without_loss_suggests_nothing():
    assert suggested_stages(LossMap.full(), HEAD) == ()


@pytest.mark.parametrize(("key", "words"), [("patches", "separate patches"), ("all-over", "sides and the back")])
def test_a_map_beyond_every_scale_gets_no_stage_and_is_told_why(key, words):
    suggested = by_scale(pattern_start(key, HEAD))
    assert suggested.keys() == {scale.key for scale in SCALES}
    for one in suggested.values():
        assert (one.stage, one.nearness) == ("", 0)
        assert words in one.because


def test_patches_stay_patches_also_beside_a_thinner_top():
    loss = np.maximum(SHAPES["patches"], SHAPES["top-1"] * 0.3)
    assert all(not one.stage for one in suggested_stages(LossMap(100 - loss), HEAD))


def test_a_receded_front_is_no_pattern_of_the_top_and_the_other_way_round():
    temples, top = by_scale(pattern_start("temples", HEAD)), by_scale(pattern_start("top-2", HEAD))
    assert {scale: temples[scale].stage for scale in ("ludwig", "sinclair", "olsen")} == dict.fromkeys(
        ("ludwig", "sinclair", "olsen"), ""
    )
    assert "temples have receded" in temples["ludwig"].because
    assert top["norwood"].stage == ""
    assert "temples are kept" in top["norwood"].because


def test_the_reason_says_what_is_seen():
    top = by_scale(pattern_start("top-2", HEAD))["ludwig"]
    assert top.because == "About 40 % of the hair is left in the middle of the top, and the front hairline is kept."
    assert by_scale(pattern_start("temples", HEAD))["norwood"].because == "The temples have receded about 45 mm."
    both = by_scale(pattern_start("front-crown", HEAD))["norwood"].because
    assert "about 5 % of the hair is left on the crown" in both
    assert "55 % between front and crown" in both


def test_one_temple_alone_is_no_pattern_of_a_scale():
    left_only = np.where(DISK_Y > 0, SHAPES["temples"], 0)
    assert by_scale(LossMap(100 - left_only))["norwood"].stage == ""


shape = st.sampled_from(sorted(SHAPES))
share = st.floats(0, 1)


@st.composite
def losses(draw):
    """Loss as stylists paint it: one or two shapes, weaker or stronger, a little heavier on one side, rippled."""
    one, two = SHAPES[draw(shape)] * draw(share), SHAPES[draw(shape)] * draw(share)
    ripple = 1 + 0.15 * np.cos(draw(st.floats(0, 6)) + 5 * DISK_X - 4 * DISK_Y)
    return np.where(INSIDE, np.clip(np.maximum(one, two) * ripple, 0, 100), 0)


@st.composite
def dabs(draw):
    """A round dab of more loss somewhere."""
    x, y = draw(st.floats(-0.9, 0.9)), draw(st.floats(-0.9, 0.9))
    within = np.hypot(DISK_X - x, DISK_Y - y) <= draw(st.floats(0.02, 0.7))
    return within * draw(st.floats(0, 100))


@settings(max_examples=150, deadline=None)
@given(loss=losses(), dab=dabs())
def test_more_loss_never_suggests_a_lower_stage(loss, dab):
    before, after = degrees(LossMap(100 - loss)), degrees(LossMap(100 - np.maximum(loss, dab)))
    for scale in before.keys() & after.keys():
        assert after[scale] >= before[scale]


@settings(max_examples=60, deadline=None)
@given(key=shape, stronger=st.lists(st.floats(0, 1), min_size=2, max_size=2).map(sorted))
def test_the_same_shape_painted_more_strongly_never_suggests_a_lower_stage(key, stronger):
    weaker, more = (degrees(LossMap(100 - SHAPES[key] * strength)) for strength in stronger)
    assume(weaker)
    for scale in weaker.keys() & more.keys():
        assert more[scale] >= weaker[scale]


@settings(max_examples=60, deadline=None)
@given(loss=losses())
def test_the_mirrored_map_suggests_the_same(loss):
    one, other = (suggested_stages(LossMap(100 - way), HEAD) for way in (loss, loss[:, ::-1]))
    assert {(two.scale, two.stage) for two in one} == {(two.scale, two.stage) for two in other}


@settings(max_examples=60, deadline=None)
@given(loss=losses())
def test_nearest_comes_first_and_a_scale_without_a_stage_last(loss):
    found = suggested_stages(LossMap(100 - loss), HEAD)
    nearness = [one.nearness for one in found]
    assert nearness == sorted(nearness, reverse=True)
    for one in found:
        assert bool(one.stage) == (one.nearness > 0)
        assert 0 <= one.nearness <= 1
        assert one.because.endswith(".")
