"""The nine zones of the scalp."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.scalp.grid import GRID, INSIDE, UNIT_NORMALS, disk_coordinates
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONE_OF_CELL, ZONES, loss_map_from_zones, zone_borders, zone_means

HEAD = Head.from_tapes(559, 356, 343)
KEYS = [zone.key for zone in ZONES]
percents = st.fixed_dictionaries({key: st.floats(0, 100) for key in KEYS})


def zone_at(s_mm, t_mm):
    normal = HEAD.points_at([(s_mm, t_mm)])[0] / HEAD.semi_axes_mm
    nearest = np.argmax(np.where(INSIDE, UNIT_NORMALS @ normal, -1))
    return KEYS[ZONE_OF_CELL.flat[nearest]]


def test_every_cell_of_the_disk_is_in_one_zone_and_no_other_cell_is():
    assert ((ZONE_OF_CELL >= 0) == INSIDE).all()
    assert set(ZONE_OF_CELL[INSIDE]) == set(range(len(ZONES)))


def test_the_zones_areas_add_up_to_the_scalp():
    areas = [HEAD.cell_areas_cm2[zone == ZONE_OF_CELL].sum() for zone in range(len(ZONES))]
    assert sum(areas) == pytest.approx(HEAD.area_cm2, rel=0.01)
    assert min(areas) > 30  # none is a sliver: three square inches and more
    assert max(areas) < 150


def test_left_and_right_mirror_each_other():
    mirrored = ZONE_OF_CELL[:, ::-1]
    swapped = [KEYS.index(key.replace("left", "x").replace("right", "left").replace("x", "right")) for key in KEYS]
    assert (np.append(swapped, -1)[ZONE_OF_CELL] == mirrored).all()


def test_no_zone_is_in_pieces():
    label = pytest.importorskip("skimage.measure").label
    for zone in range(len(ZONES)):
        assert label(zone == ZONE_OF_CELL, connectivity=1).max() == 1, KEYS[zone]


@pytest.mark.parametrize(
    ("s_mm", "t_mm", "key"),
    [  # where a stylist would point on an average head (common practice)
        (20, 0, "front"),
        (25, 30, "front"),
        (20, 80, "left-temple"),
        (20, -80, "right-temple"),
        (100, 0, "mid-scalp"),
        (150, -40, "mid-scalp"),
        (178, 130, "left-side"),
        (178, -130, "right-side"),
        (225, 0, "crown"),
        (290, 0, "back"),
        (345, 0, "nape"),
    ],
)
def test_a_zone_is_where_a_stylist_points(s_mm, t_mm, key):
    assert zone_at(s_mm, t_mm) == key


@given(percents)
def test_zones_filled_by_number_have_these_means_on_any_head(percent_by_key):
    for head in (HEAD, Head.from_tapes(508, 330, 305)):
        assert zone_means(loss_map_from_zones(percent_by_key), head) == pytest.approx(percent_by_key, abs=1e-8)


def test_a_full_head_has_a_hundred_percent_in_every_zone():
    assert set(zone_means(LossMap.full(), HEAD).values()) == {100.0}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"crown": 101}, "Crown: 101 is not a percentage"),
        ({"crown": float("nan")}, "Crown: nan is not a percentage"),
        ({"chin": 50}, "Not a zone: chin"),
    ],
)
def test_a_wrong_zone_or_number_is_named(change, words):
    with pytest.raises(ValueError, match=words):
        loss_map_from_zones(dict.fromkeys(KEYS, 100) | change)


def test_a_missing_zone_is_named():
    with pytest.raises(ValueError, match="missing for: Left temple, Nape"):
        loss_map_from_zones({key: 50 for key in KEYS if key not in ("left-temple", "nape")})


def test_the_drawn_borders_run_between_the_zones():
    for border in zone_borders():
        np.testing.assert_allclose(np.linalg.norm(border, axis=1), 1)
        for X, Y in disk_coordinates(border)[4:-4]:
            i, j = int((1 - X) * GRID / 2), int((1 - Y) * GRID / 2)
            around = ZONE_OF_CELL[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
            assert len(set(around[around >= 0])) >= 2
