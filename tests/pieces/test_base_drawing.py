"""A base drawn to scale, and where its clips usually sit: nothing off the base, left and right the same."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.bases.drawing import draw_base, frame_of, outline_path
from pieces.bases.layout import INSET_MM, usual_clips
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

outlines = st.builds(
    lambda kind, length, width: BaseOutline.named(kind, length_mm=float(length), width_mm=float(width)),
    st.sampled_from(OUTLINE_KINDS),
    st.integers(32, 450),
    st.integers(32, 450),
)


def points(path):
    return np.array([[float(number) for number in pair] for pair in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)])


def polygon_area_cm2(corners):
    """The surveyor's area formula: Braden (1986), College Mathematics Journal 17(4), 326-337 (MEMORY)."""
    x, y = corners.T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 200


@given(outlines)
def test_the_drawn_outline_has_the_area_of_the_base(outline):
    drawn = points(draw_base(BaseShape("x", outline)).outline)
    assert polygon_area_cm2(drawn) == pytest.approx(outline.area_cm2, rel=0.02, abs=0.5)
    assert np.ptp(drawn[:, 1]) == pytest.approx(outline.length_mm, abs=0.2)


def test_a_small_picture_of_an_oval_has_the_area_of_an_ellipse():
    outline = BaseOutline.oval(length_mm=152, width_mm=140)
    assert polygon_area_cm2(points(outline_path(outline))) == pytest.approx(np.pi * 76 * 70 / 100, rel=0.01)


def test_a_clip_at_the_clients_left_is_drawn_on_the_left_and_along_its_edge():
    shape = BaseShape(
        "x",
        BaseOutline.rounded_rectangle(length_mm=160, width_mm=140),
        clips=(Clip(8, 0, 32), Clip(80, 62, 28), Clip(80, -62, 28)),
    )
    front, left, right = draw_base(shape).clips
    assert (front.x, front.y, front.angle, front.length) == (0, 8, 0, 32)
    assert (left.x, abs(left.angle), left.length) == (-62, 90, 28)
    assert right.x == 62
    assert (front.left, front.top) == (-16, 8 - front.depth / 2)


def test_tape_is_drawn_where_it_is_and_within_the_base():
    outline = BaseOutline.tapered_front(length_mm=178, width_mm=152)
    (strip,) = draw_base(BaseShape("x", outline, tape_areas=(TapeArea(0, 15),))).tape
    drawn = points(strip)
    assert (drawn[:, 1].min(), drawn[:, 1].max()) == (0, 15)
    assert (np.abs(drawn[:, 0]) <= outline.half_width_mm(drawn[:, 1] + 0.05) + 0.1).all()


def test_the_frame_holds_the_drawing_and_its_bar_is_as_long_as_it_says():
    frame = frame_of(draw_base(BaseShape("x", BaseOutline.oval(length_mm=152, width_mm=140))), scale_mm=25.4)
    left, top, across, down = map(float, frame.view.split())
    assert left < -70
    assert left + across > 70 + 2 * frame.letter
    assert top < 0
    assert top + down > 152
    assert frame.scale_line.endswith("h25.4")


@given(outlines)
def test_usual_clips_lie_on_the_base_and_mirror_each_other(outline):
    clips = usual_clips(outline)
    assert 4 <= len(clips) <= 7  # common practice: 4, 5-6, 5 and more
    assert {(clip.u_mm, clip.v_mm) for clip in clips} == {(clip.u_mm, -clip.v_mm) for clip in clips}
    for clip in clips:
        assert 0 <= clip.u_mm <= outline.length_mm
        assert abs(clip.v_mm) <= max(0, float(outline.half_width_mm(clip.u_mm)) - INSET_MM) + 1e-9


@pytest.mark.parametrize(
    ("outline", "count"),
    [
        (BaseOutline.rounded_rectangle(length_mm=51, width_mm=102), 4),  # the small starter, common practice
        (BaseOutline.oval(length_mm=152, width_mm=140), 6),
        (BaseOutline.full_cap(length_mm=345, width_mm=335), 7),
    ],
)
def test_a_bigger_base_has_more_clips(outline, count):
    assert len(usual_clips(outline)) == count


def test_a_base_without_room_for_clips_gets_a_sentence():
    with pytest.raises(ValueError, match="no room for clips"):
        usual_clips(BaseOutline.oval(length_mm=20, width_mm=40))
