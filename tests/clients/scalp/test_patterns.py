"""Pattern starts: shapes of hair loss to be painted over."""

import numpy as np
import pytest

from clients.scalp.grid import INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.regions import zone_means

HEAD = Head.from_tapes(559, 356, 343)
KEYS = [pattern.key for pattern in PATTERNS]


def means(key, head=HEAD):
    return zone_means(pattern_start(key, head), head)


@pytest.mark.parametrize("key", KEYS)
def test_every_pattern_is_the_same_left_and_right(key):
    density = pattern_start(key, HEAD).density
    np.testing.assert_allclose(density, density[:, ::-1], atol=1e-6)


@pytest.mark.parametrize("key", KEYS)
def test_a_pattern_grows_with_the_head(key):
    small, large = (pattern_start(key, Head.from_tapes(559 * k, 356 * k, 343 * k)) for k in (0.9, 1.1))
    np.testing.assert_allclose(small.density, large.density, atol=1e-6)


@pytest.mark.parametrize("key", KEYS)
def test_every_pattern_takes_some_hair_and_leaves_some(key):
    loss_map = pattern_start(key, HEAD)
    lost = (HEAD.cell_areas_cm2 * loss_map.loss).sum() / HEAD.cell_areas_cm2.sum()
    assert 3 < lost < 85
    assert loss_map.density[INSIDE].min() >= 0


@pytest.mark.parametrize("key", [key for key in KEYS if key != "all-over"])
def test_borders_are_soft(key):
    density = np.where(INSIDE, pattern_start(key, HEAD).density, np.nan)
    steps = np.abs(np.concatenate([np.diff(density, axis=0).ravel(), np.diff(density, axis=1).ravel()]))
    assert np.nanmax(steps) < 85  # a cell is 5 to 6 mm, a border 18 mm


def test_ludwigs_three_degrees_follow_each_other():
    # Ludwig 1977 (READ-2nd): the same area thins further, limited in front by a line 1-3 cm behind the hairline
    degrees = [pattern_start(key, HEAD).density for key in ("top-1", "top-2", "top-3")]
    assert (degrees[0] >= degrees[1]).all()
    assert (degrees[1] >= degrees[2]).all()
    assert means("top-3")["mid-scalp"] < 10  # "total denudation within that area"


@pytest.mark.parametrize("key", ["top-1", "top-2", "top-3"])
def test_ludwigs_degrees_keep_the_front_hairline(key):
    loss_map = pattern_start(key, HEAD)
    s, t = np.moveaxis(HEAD.cell_tape_coordinates, -1, 0)
    assert loss_map.density[INSIDE & (s < 8)].min() > 90
    behind = loss_map.density[INSIDE & (np.abs(t) < 6)]
    thinned_from = s[INSIDE & (np.abs(t) < 6)][behind < (100 + behind.min()) / 2].min()
    assert 10 <= thinned_from <= 36  # "1-3 cm", and half of a cell


def test_norwoods_types_are_where_he_says():
    # Norwood 1975 (READ-2nd): III deep temple recession; III vertex with the vertex; V larger, the band sparser
    assert means("temples")["left-temple"] < 60
    assert means("temples")["crown"] > 99
    assert means("temples-crown")["crown"] < 70
    assert means("front-crown")["crown"] < means("temples-crown")["crown"]
    assert means("front-crown")["front"] < 20
    assert 20 < means("front-crown")["mid-scalp"] < 80  # the band is there, and sparse
    assert means("front-crown")["nape"] > 99


def test_olsens_pattern_tapers_backwards():
    density, (s, t) = pattern_start("front", HEAD).density, np.moveaxis(HEAD.cell_tape_coordinates, -1, 0)
    widths = [np.abs(t[INSIDE & (np.abs(s - at) < 4) & (density < 70)]).max(initial=0) for at in (25, 80, 140, 190)]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 40


def test_sinclairs_part_is_thinnest_in_the_middle():
    density = pattern_start("part", HEAD).density
    along_ear_line = density[28, 16:32]  # from the side up to the part, in the mid-scalp
    assert (np.diff(along_ear_line) <= 1e-9).all()


def test_a_pattern_is_a_map_that_can_be_kept():
    stored = pattern_start("top-2", HEAD).to_hex()
    assert LossMap.from_hex(stored).to_hex() == stored


def test_an_unknown_pattern_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match=r"“spiral” is not a pattern\. The patterns are: top-1, top-2"):
        pattern_start("spiral", HEAD)


def test_no_label_uses_a_hurtful_word():
    text = " ".join(f"{pattern.label} {pattern.description}" for pattern in PATTERNS).lower()
    assert not any(word in text for word in ("bald", "problem", "suffer", "normal"))
