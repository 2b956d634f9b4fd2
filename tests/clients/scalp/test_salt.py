"""The SALT score of a loss map: four regions by their share of the scalp."""

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from clients.scalp.grid import INSIDE, UNIT_NORMALS
from clients.scalp.head import Head, TapesError
from clients.scalp.loss_map import LossMap
from clients.scalp.salt import SALT_WEIGHTS, region_areas_cm2, salt_score

HEADS = [Head.from_tapes(*tapes) for tapes in ((559, 356, 343), (508, 330, 305), (620, 330, 390))]


@pytest.mark.parametrize("head", HEADS)
def test_the_regions_take_exactly_their_share_of_this_head(head):
    areas = region_areas_cm2(head)
    scalp = head.cell_areas_cm2.sum()
    for region, weight in SALT_WEIGHTS.items():
        assert areas[region].sum() / scalp == pytest.approx(weight, abs=0.005)
    np.testing.assert_allclose(sum(areas.values()), head.cell_areas_cm2, atol=1e-9)


@st.composite
def heads(draw):
    """Heads of many shapes, from tapes as they are taken: small and large, flat and high."""
    around = draw(st.floats(480, 640))
    tapes = around, around * draw(st.floats(0.56, 0.70)), around * draw(st.floats(0.54, 0.68))
    try:
        return Head.from_tapes(*tapes)
    except TapesError:
        reject()


@settings(max_examples=40, deadline=None)
@given(head=heads())
def test_on_any_head_the_regions_take_their_share_to_half_a_percent(head):
    areas, scalp = region_areas_cm2(head), head.cell_areas_cm2.sum()
    for region, weight in SALT_WEIGHTS.items():
        assert abs(areas[region].sum() / scalp - weight) <= 0.005
    assert scalp == pytest.approx(head.area_cm2, rel=0.01)  # of the model's own area, not of the grid's alone
    np.testing.assert_allclose(sum(areas.values()), head.cell_areas_cm2, atol=1e-9)


@settings(max_examples=25, deadline=None)
@given(head=heads(), lost=st.lists(st.floats(0, 100), min_size=4, max_size=4))
def test_on_any_head_the_score_is_the_weighted_loss_of_its_regions(head, lost):
    areas = region_areas_cm2(head)
    by_region = dict(zip(SALT_WEIGHTS, lost, strict=True))
    lost_cm2 = sum(areas[region] * percent / 100 for region, percent in by_region.items())
    scalp = np.where(head.cell_areas_cm2 > 0, head.cell_areas_cm2, 1)
    score = salt_score(LossMap(np.clip(100 * (1 - lost_cm2 / scalp), 0, 100)), head)
    expected = sum(weight * by_region[region] for region, weight in SALT_WEIGHTS.items())
    assert score.total == pytest.approx(expected, abs=0.6)  # areas to 0.5 %


@pytest.mark.parametrize("head", HEADS)
def test_the_regions_lie_where_their_names_say(head):
    areas = region_areas_cm2(head)
    n_x, n_y, _ = np.moveaxis(UNIT_NORMALS, -1, 0)
    assert (n_x[areas["back"] > 0] < 0).all()
    assert (n_y[areas["left"] > 0] > 0).all()
    assert (n_y[areas["right"] > 0] < 0).all()
    assert areas["top"][31:33, 31:33].sum() == pytest.approx(head.cell_areas_cm2[31:33, 31:33].sum())
    np.testing.assert_allclose(areas["left"], areas["right"][:, ::-1], atol=1e-9)


@pytest.mark.parametrize("lost", [0, 25, 75, 100])
def test_hair_lost_evenly_scores_that_loss(lost):
    score = salt_score(LossMap(np.full((64, 64), 100 - lost)), HEADS[0])
    for part in (score.top, score.left, score.right, score.back, score.total):
        assert part == pytest.approx(lost)


def test_one_region_lost_whole_scores_its_weight():
    for region, weight in SALT_WEIGHTS.items():
        whole = region_areas_cm2(HEADS[0])[region] / np.where(INSIDE, HEADS[0].cell_areas_cm2, 1)
        score = salt_score(LossMap(100 * (1 - np.clip(whole, 0, 1))), HEADS[0])
        assert score.total == pytest.approx(100 * weight, abs=1)  # cells on a border are shared
        assert getattr(score, region) > 97


def test_left_and_right_change_places_in_the_mirror():
    density = np.where(UNIT_NORMALS[..., 1] > 0.5, 30.0, 100.0)
    score, mirrored = (salt_score(LossMap(one), HEADS[0]) for one in (density, density[:, ::-1]))
    assert score.left == pytest.approx(mirrored.right)
    assert score.right == pytest.approx(mirrored.left)
    assert score.left > score.right
    assert score.total == pytest.approx(mirrored.total)
