"""The demo's drawings of pieces and bases: true to their shades, lengths, clips and tape, and alike each time."""

import io
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.bases.outline import BaseOutline
from pieces.models import Base, Piece
from salon.colour.difference import ciede2000
from salon.colour.lab import lab_from_srgb
from salon.demo.drawn_bases import base_drawing
from salon.demo.drawn_pieces import FALLS, FULLNESS, HEIGHT, WIDTH, hair_drawing

DARK, FAIR = (24.0, 5.0, 8.0), (66.0, 4.0, 20.0)
OVAL = BaseOutline.oval(length_mm=150, width_mm=120)
LEFT_CLIP = Clip(75, 45, 32)


def shade(lab):
    return {"root": lab, "mid": lab, "ends": lab}


def pixels(jpeg):
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB"), dtype=float)


def hair(*labs, length_mm=300, texture="straight", density="medium", seed=1):
    shades = [shade(lab) for lab in labs or (DARK,)]
    return hair_drawing(shades, length_mm=length_mm, texture=texture, density=density, seed=seed)


def base(shape, construction="mono", seed=1):
    return base_drawing(shape, construction=construction, seed=seed)


def dark_rows(picture):
    return np.flatnonzero((lab_from_srgb(picture / 255)[..., 0] < 40).sum(axis=1) > 10)


# Hair


@pytest.mark.parametrize("lab", [DARK, FAIR, (45.0, 18.0, 26.0)])
def test_hair_has_the_colour_that_was_measured(lab):
    seen = np.median(pixels(hair(lab))[170:230, WIDTH // 2 - 20 : WIDTH // 2 + 20], axis=(0, 1))
    assert ciede2000(lab_from_srgb(seen / 255), lab) < 3  # drawn with some shade between the locks


def test_every_shade_beside_the_first_has_a_lock_of_its_own():
    alone, two = pixels(hair(FAIR)), pixels(hair(FAIR, DARK))
    assert len(dark_rows(alone)) == 0
    assert len(dark_rows(two)) > 200


@pytest.mark.parametrize("texture", FALLS)
def test_longer_hair_reaches_further_down(texture):
    ends = [dark_rows(pixels(hair(length_mm=length, texture=texture)))[-1] for length in (200, 300, 400, 500)]
    assert all(longer > shorter + 20 for shorter, longer in pairwise(ends))
    assert ends[-1] < HEIGHT - 1


def test_fuller_hair_is_wider():
    seen = [(lab_from_srgb(pixels(hair(density=density)) / 255)[..., 0] < 40).sum() for density in FULLNESS]
    assert seen == sorted(seen)


def test_the_same_piece_is_drawn_alike_and_small():
    many = [(20.0 + 8 * number, 4.0, 10.0) for number in range(7)]
    drawn = hair(*many, length_mm=500, texture="coily", density="full")
    assert drawn == hair(*many, length_mm=500, texture="coily", density="full")
    assert len(drawn) < 60_000


# Bases


def metal_at(picture, x_mm, u_mm, shape):
    """Whether a clip is drawn at a place; x to the right of the picture."""
    scale = 0.78 * min(WIDTH / shape.outline.width_mm, HEIGHT / shape.outline.length_mm)
    column = round(WIDTH / 2 + x_mm * scale)
    row = round(HEIGHT / 2 + (u_mm - shape.outline.length_mm / 2) * scale)
    around = picture[row - 2 : row + 3, column - 2 : column + 3]
    return bool(np.ptp(around.mean(axis=(0, 1))) < 8)  # grey, where cloth and skin are warm


def test_a_clip_on_her_left_lies_on_the_right_seen_from_below():
    shape = BaseShape("1", OVAL, clips=(LEFT_CLIP,))
    picture = pixels(base(shape))
    assert metal_at(picture, 45, 75, shape)
    assert not metal_at(picture, -45, 75, shape)


def test_tape_lies_where_the_base_takes_it():
    plain = pixels(base(BaseShape("1", OVAL)))
    taped = pixels(base(BaseShape("1", OVAL, tape_areas=(TapeArea(0, 40),))))
    changed = np.abs(plain - taped).max(axis=-1) > 20
    assert changed[HEIGHT // 4].any()
    assert not changed[HEIGHT // 2 :].any()


@pytest.mark.parametrize(
    ("construction", "outline"),
    [*((one, "full_cap") for one in Base.Construction.values), *(("mono", one) for one in Base.Outline.values)],
)
def test_every_base_can_be_drawn_and_is_small(construction, outline):
    shape = BaseShape(
        "1",
        BaseOutline.named(outline, length_mm=345, width_mm=335),
        clips=(LEFT_CLIP,),
        tape_areas=(TapeArea(0, 18),),
        front_edge="lace",
    )
    drawn = base(shape, construction)
    assert drawn == base(shape, construction)
    assert len(drawn) < 80_000


def test_each_material_looks_different():
    drawn = {base(BaseShape("1", OVAL), construction) for construction in Base.Construction.values}
    assert len(drawn) == len(Base.Construction.values)


def test_every_texture_and_density_of_a_piece_can_be_drawn():
    assert set(FALLS) == set(Piece.Texture.values)
    assert set(FULLNESS) == set(Piece.Density.values)
