"""The demo's drawn photos: heads that agree with their loss maps, and colour photos that read back what was drawn."""

import io

import numpy as np
import pytest
from PIL import Image

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.views import VIEWS, view_named
from salon.colour.difference import ciede2000
from salon.colour.lab import lab_from_srgb, lab_from_xyz, xyz_from_lab
from salon.colour.mixing import grey_share
from salon.colour.reading import read_photo
from salon.demo.drawn_colours import SHINE, hair_photo, row_photo
from salon.demo.drawn_hair import Hair
from salon.demo.drawn_heads import head_photo, turn_view

HEAD = Head.from_tapes(556, 352, 340)
SIZE = (300, 400)
DARK, FAIR = (22.0, 4.0, 7.0), (60.0, 3.0, 18.0)
DAYLIGHT = np.array([0.9505, 1.0, 1.0890])  # XYZ of D65


def drawn(view, *, remaining=None, colour=DARK, seed=3):
    hair = Hair(colour, colour, length_mm=250, remaining=remaining)
    jpeg = head_photo(HEAD, hair, view, size=SIZE, seed=seed)
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB")) / 255


def thin_where(density_at):
    return LossMap.from_tape_coordinates(HEAD, density_at)


def lightness_at(picture, view, tape_mm):
    """L* around a place of the scalp given in tape coordinates (s back from the hairline, t to her left)."""
    x, y = view.project(HEAD.points_at(tape_mm))
    mm = 330 / SIZE[0]  # what a picture shows across
    above = 230 if view.key == "top" else 165
    column, row = round((x + 165) / mm), round((y + above) / mm)
    return lab_from_srgb(picture[row - 3 : row + 4, column - 3 : column + 4])[..., 0].mean()


# Heads


def test_the_scalp_shows_where_the_map_says_that_hair_is_lost():
    top = view_named("top")
    remaining = thin_where(lambda s, t: np.where((s > 100) & (s < 160) & (t > 15) & (t < 75), 5, 100))
    picture = drawn(top, remaining=remaining)
    lost = lightness_at(picture, top, (130, 45))
    for full in ((130, -45), (60, 45), (230, 45)):
        assert lost > lightness_at(picture, top, full) + 20


def test_less_hair_shows_more_of_the_scalp():
    top = view_named("top")
    found = [
        lightness_at(drawn(top, remaining=thin_where(lambda s, t, left=left: left)), top, (130, 40))
        for left in (100, 75, 50, 25, 5)
    ]
    assert found == sorted(found)
    assert found[-1] > found[0] + 20


def test_a_piece_covers_what_is_lost():
    top = view_named("top")
    bare = drawn(top, remaining=thin_where(lambda s, t: 5))
    covered = drawn(top, remaining=None)
    assert lightness_at(covered, top, (130, 40)) < lightness_at(bare, top, (130, 40)) - 20


@pytest.mark.parametrize("key", VIEWS)
def test_dark_hair_is_darker_than_fair_hair_from_every_side(key):
    dark, fair = (lab_from_srgb(drawn(VIEWS[key], colour=colour))[..., 0].mean() for colour in (DARK, FAIR))
    assert dark < fair - 4


def test_the_same_head_gives_the_same_photo_and_another_seed_other_strands():
    front = view_named("front")
    assert np.array_equal(drawn(front), drawn(front))
    assert not np.array_equal(drawn(front), drawn(front, seed=4))


def test_a_turn_goes_once_round_by_her_left():
    assert np.abs(turn_view(1, 12).axes - turn_view(13, 12).axes).max() < 1e-9
    assert np.allclose(turn_view(4, 12).axes, view_named("left").axes)
    assert np.allclose(turn_view(7, 12).axes, view_named("back").axes)


# Colours


def with_shine(lab):
    return lab_from_xyz(xyz_from_lab(lab) + SHINE * DAYLIGHT)


def read_back(photo, edition):
    pixels = np.asarray(Image.open(io.BytesIO(photo.jpeg)).convert("RGB"))
    return read_photo(pixels, photo.marks, edition=edition).regions


@pytest.mark.parametrize("edition", ["before", "after"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_lock_of_hair_reads_back_as_it_was_drawn_with_its_shine(seed, edition):
    colours = {"root": (24.0, 5.0, 8.0), "mid": (36.0, 7.0, 14.0), "ends": (52.0, 6.0, 20.0), "grey": (60.0, 1.0, 4.0)}
    for name, read in read_back(hair_photo(colours, edition=edition, seed=seed), edition).items():
        assert ciede2000(read.lab, with_shine(colours[name])) < max(1.5, 2 * read.doubt), name


def test_a_row_of_swatches_reads_back_swatch_by_swatch():
    colours = {f"S{number}": (14.0 + 10 * number, 4.0, 6.0 + 2 * number) for number in range(6)}
    read = read_back(row_photo(colours, edition="after", seed=5), "after")
    assert read.keys() == colours.keys()
    for name, lab in colours.items():
        assert ciede2000(read[name].lab, with_shine(lab)) < 1.5, name


def test_the_share_of_grey_that_was_drawn_is_told_again():
    pigment, grey = (26.5, 11.5, 20.0), (44.6, 1.3, 5.2)
    root = tuple(lab_from_xyz(0.6 * xyz_from_lab(pigment) + 0.4 * xyz_from_lab(grey)).tolist())
    colours = {"root": root, "mid": root, "ends": root, "pigment": pigment, "grey": grey}
    read = read_back(hair_photo(colours, edition="after", seed=6), "after")
    share = grey_share(*(read[name].lab for name in ("root", "pigment", "grey")), doubt=read["root"].doubt)
    assert share.share == pytest.approx(0.4, abs=0.08)
