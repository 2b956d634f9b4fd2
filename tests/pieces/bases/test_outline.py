"""The outlines of bases: half-widths, areas, both ways round."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.bases.construction import BaseShape, Clip
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

ALL = [BaseOutline.named(kind, length_mm=150, width_mm=130) for kind in OUTLINE_KINDS]
ALONG = np.linspace(0, 150, 1501)


@pytest.mark.parametrize("outline", ALL, ids=OUTLINE_KINDS)
def test_a_base_is_as_wide_as_it_says_and_ends_where_it_ends(outline):
    half_widths = outline.half_width_mm(ALONG)
    assert half_widths.max() == pytest.approx(65, abs=0.01)
    assert (half_widths >= 0).all()
    assert outline.half_width_mm([-0.1, 150.1]).tolist() == [0, 0]


@pytest.mark.parametrize("outline", ALL, ids=OUTLINE_KINDS)
def test_turned_round_twice_a_base_is_itself_and_once_it_is_reversed(outline):
    assert outline.reversed().reversed() == outline
    np.testing.assert_allclose(outline.reversed().half_width_mm(ALONG), outline.half_width_mm(150 - ALONG))
    assert outline.reversed().area_cm2 == pytest.approx(outline.area_cm2)


@pytest.mark.parametrize("outline", ALL, ids=OUTLINE_KINDS)
def test_half_widths_grow_and_shrink_once(outline):
    rises = np.sign(np.diff(outline.half_width_mm(ALONG)))
    turns = np.diff(rises[rises != 0])
    assert np.count_nonzero(turns) <= 1


def test_the_outlines_have_the_areas_of_their_shapes():
    assert BaseOutline.oval(length_mm=150, width_mm=130).area_cm2 == pytest.approx(math.pi * 150 * 130 / 400, rel=1e-4)
    assert BaseOutline.full_cap(length_mm=350, width_mm=340).area_cm2 == pytest.approx(1190)
    radius = 130 / 4
    rounded = (150 * 130 - (4 - math.pi) * radius**2) / 100
    assert BaseOutline.rounded_rectangle(length_mm=150, width_mm=130).area_cm2 == pytest.approx(rounded, rel=1e-4)
    strip = (200 * 40 - (2 - math.pi / 2) * 40**2) / 100
    assert BaseOutline.front_strip(length_mm=40, width_mm=200).area_cm2 == pytest.approx(strip, rel=1e-4)


def test_a_tapered_base_is_narrow_at_the_end_it_is_named_for():
    front, back = (BaseOutline.named(kind, length_mm=150, width_mm=130) for kind in ("tapered_front", "tapered_back"))
    assert front.half_width_mm(40) < back.half_width_mm(40)
    np.testing.assert_allclose(front.half_width_mm(ALONG), back.half_width_mm(150 - ALONG))


def test_a_front_strip_is_straight_in_front():
    strip = BaseOutline.front_strip(length_mm=40, width_mm=200)
    assert strip.half_width_mm(0) == 100
    assert strip.half_width_mm(40) == pytest.approx(60)


def test_a_cap_stretches_in_both_directions():
    cap = BaseOutline.full_cap(length_mm=340, width_mm=320, stretch=1.05)
    assert (cap.length_mm, cap.width_mm) == pytest.approx((357, 336))


@pytest.mark.parametrize("kind", OUTLINE_KINDS)
def test_a_base_can_be_named_by_its_kind(kind):
    assert BaseOutline.named(kind, length_mm=120, width_mm=100) == getattr(BaseOutline, kind)(
        length_mm=120, width_mm=100
    )


def test_an_unknown_kind_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match="no outline is called 'round'; the outlines are oval, rounded_rectangle"):
        BaseOutline.named("round", length_mm=120, width_mm=100)


@pytest.mark.parametrize(("length", "width", "side"), [(0, 100, "length"), (120, -1, "width"), (math.nan, 5, "length")])
def test_a_base_without_a_size_is_refused(length, width, side):
    with pytest.raises(ValueError, match=f"the {side} of a base must be above zero"):
        BaseOutline.oval(length_mm=length, width_mm=width)


@given(st.sampled_from(OUTLINE_KINDS), st.floats(20, 350), st.floats(20, 350), st.floats(0.2, 5))
def test_a_base_of_twice_the_size_is_twice_as_wide_everywhere(kind, length, width, scale):
    once = BaseOutline.named(kind, length_mm=length, width_mm=width)
    scaled = BaseOutline.named(kind, length_mm=length * scale, width_mm=width * scale)
    share = np.linspace(0.001, 0.999, 50)
    np.testing.assert_allclose(
        scaled.half_width_mm(share * length * scale), once.half_width_mm(share * length) * scale, rtol=1e-6, atol=1e-9
    )


@pytest.mark.parametrize("outline", ALL, ids=OUTLINE_KINDS)
def test_half_widths_come_back_in_the_shape_they_were_asked_in(outline):
    assert outline.half_width_mm(10).shape == ()
    assert outline.half_width_mm(np.ones((2, 3))).shape == (2, 3)


def test_a_base_shape_starts_plain_and_one_way():
    shape = BaseShape("small", ALL[0])
    assert (shape.clips, shape.tape_areas, shape.front_edge, shape.two_way) == ((), (), "plain", False)
    assert hash(BaseShape("small", ALL[0], (Clip(5, 0, 30),))) == hash(BaseShape("small", ALL[0], (Clip(5, 0, 30),)))
