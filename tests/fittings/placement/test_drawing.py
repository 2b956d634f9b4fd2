"""A base drawn on a head."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.patterns import pattern_start
from clients.scalp.views import VIEWS
from fittings.placement.drawing import clips_on_scalp, draw_candidate, draw_placement, outline_on_scalp
from fittings.placement.placing import place
from pieces.bases.construction import BaseShape, Clip
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

HEAD = Head.from_tapes(559, 356, 343)
LOSS = pattern_start("top-2", HEAD)
SVG = "{http://www.w3.org/2000/svg}"
CLIPS = (Clip(10, 0, 32), Clip(90, 52, 32), Clip(90, -52, 32), Clip(168, 0, 32))
BASE = BaseShape("medium", BaseOutline.oval(length_mm=178, width_mm=140), CLIPS)


def placed(base=BASE, **seat):
    return place(HEAD, LOSS, base.outline, clips=base.clips, **{"set_back_mm": 20.0} | seat)


def drawn(picture):
    return ET.fromstring(picture)  # noqa: S314 - our own text


def all_pictures(base=BASE, **seat):
    placement = placed(base, **seat)
    yield draw_candidate(HEAD, LOSS, base, placement, title="Candidate")
    yield from (draw_placement(HEAD, LOSS, base, placement, view, title=f"From the {view}") for view in VIEWS)


@pytest.mark.parametrize("kind", OUTLINE_KINDS)
def test_every_picture_of_every_outline_is_well_formed_named_and_small(kind):
    outline = BaseOutline.named(kind, length_mm=160, width_mm=130)
    for picture in all_pictures(BaseShape(kind, outline, (Clip(12, 0, 32),))):
        root = drawn(picture)
        assert root.get("role") == "img"
        assert root[0].tag == f"{SVG}title"
        assert all(not {"style", "id"} & set(element.keys()) for element in root.iter())
        assert len(picture) < 40_000


def test_a_card_is_240_pixels_wide_and_lighter_than_a_full_picture():
    card, top, *_ = all_pictures()
    assert drawn(card).get("width") == "240"
    assert len(card) < 0.8 * len(top)


def test_the_outline_runs_along_the_edge_of_the_base():
    edge, on_scalp = outline_on_scalp(HEAD, BASE, placed(side_shift_mm=5))
    assert on_scalp.all()
    s, t = HEAD.tape_coordinates(edge).T
    np.testing.assert_allclose([s.min(), s.max()], [20, 198], atol=0.1)
    half_width = BASE.outline.half_width_mm(np.clip(s - 20, 0, 178))
    np.testing.assert_allclose(np.abs(t - 5), half_width, atol=3.5)  # chords of a rounded edge
    assert np.ptp(t) == pytest.approx(140, abs=0.5)


def test_turned_round_a_base_carries_its_clips_with_it():
    base = BaseShape("strip", BaseOutline.tapered_front(length_mm=100, width_mm=80), (Clip(10, 20, 32),))
    ((s, t),) = HEAD.tape_coordinates(clips_on_scalp(HEAD, base, placed(base)))
    assert (s, t) == pytest.approx((30, 20), abs=0.01)
    ((s, t),) = HEAD.tape_coordinates(clips_on_scalp(HEAD, base, placed(base, turned=True)))
    assert (s, t) == pytest.approx((110, -20), abs=0.01)  # as `raster` reckons the hold


def test_a_turned_base_is_drawn_with_its_narrow_end_behind():
    base = BaseShape("taper", BaseOutline.tapered_front(length_mm=150, width_mm=120))
    for turned, narrow_in_front in ((False, True), (True, False)):
        edge, _ = outline_on_scalp(HEAD, base, placed(base, turned=turned))
        s, t = HEAD.tape_coordinates(edge).T
        front, back = np.ptp(t[np.abs(s - 50) < 4]), np.ptp(t[np.abs(s - 140) < 4])
        assert (front < back) == narrow_in_front


def test_holding_and_loose_clips_differ_in_shape():
    placement = placed()
    clips = tuple(replace(hold, holds=number % 2 == 0) for number, hold in enumerate(placement.clips))
    root = drawn(draw_candidate(HEAD, LOSS, BASE, replace(placement, clips=clips), title="x"))
    holding = [element for element in root.iter() if element.get("class") == "clip-holds"]
    loose = [element for element in root.iter() if element.get("class") == "clip-loose"]
    assert len(holding) == 2
    assert len(loose) == 2
    assert all(element.tag == f"{SVG}circle" for element in holding)
    assert all([part.tag for part in element] == [f"{SVG}circle", f"{SVG}path"] for element in loose)


def test_what_the_head_hides_is_left_out():
    placement = placed()
    left, right = (draw_placement(HEAD, LOSS, BASE, placement, view, title="x") for view in ("left", "right"))
    assert left.count("clip-") == right.count("clip-") == 3  # both of the midline, one of the sides
    assert "base-outline" in left


def test_an_edge_is_drawn_only_where_it_lies_on_the_scalp():
    cap = BaseShape("cap", BaseOutline.full_cap(length_mm=300, width_mm=260))
    edge, on_scalp = outline_on_scalp(HEAD, cap, placed(cap))
    assert 0 < on_scalp.sum() < len(edge)
    assert "base-outline" in draw_candidate(HEAD, LOSS, cap, placed(cap), title="x")


def test_a_mirrored_seat_is_drawn_mirrored():
    one, two = (
        draw_placement(HEAD, LOSS, BASE, placed(side_shift_mm=shift), "top", title="x") for shift in (10.0, -10.0)
    )
    assert clip_places(one) == sorted((-x, y) for x, y in clip_places(two))


def clip_places(picture):
    return sorted((float(x), float(y)) for x, y in re.findall(r'<circle[^>]*cx="([^"]*)" cy="([^"]*)"', picture))


def test_a_base_without_clips_is_drawn_without_dots():
    bare = BaseShape("bare", BASE.outline)
    assert "<circle" not in draw_candidate(HEAD, LOSS, bare, placed(bare), title="x")
