"""The SALT score against the weights and bands that its authors gave it."""

from pathlib import Path

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.salt import SALT_WEIGHTS, SaltScore, region_areas_cm2, salt_score

EXAMPLES = np.loadtxt(Path(__file__).parent / "salt_examples.csv", delimiter=",")
REGIONS = ("top", "right", "left", "back")
HEAD = Head.from_tapes()


def test_the_weights_are_the_published_ones():
    assert dict(SALT_WEIGHTS) == {"top": 0.40, "left": 0.18, "right": 0.18, "back": 0.24}


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_map_with_the_examples_loss_in_each_region_has_its_score(example):
    areas = region_areas_cm2(HEAD)
    lost_cm2 = sum(areas[region] * lost / 100 for region, lost in zip(REGIONS, example, strict=False))
    scalp = np.where(HEAD.cell_areas_cm2 > 0, HEAD.cell_areas_cm2, 1)
    score = salt_score(LossMap(np.clip(100 * (1 - lost_cm2 / scalp), 0, 100)), HEAD)
    assert score.total == pytest.approx(example[4], abs=0.05)
    assert [getattr(score, region) for region in REGIONS] == pytest.approx(example[:4], abs=3)  # shared cells are mixed


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_score_belongs_to_the_band_it_has_reached(example):
    top, right, left, back, total, band = example
    assert SaltScore(top, left, right, back, total).band == f"S{band:.0f}"
