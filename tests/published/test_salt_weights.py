"""The SALT score against the weights and bands that its authors gave it."""

import csv
from pathlib import Path

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.salt import SALT_WEIGHTS, SaltScore, region_areas_cm2, salt_score

EXAMPLES = np.loadtxt(Path(__file__).parent / "salt_examples.csv", delimiter=",")
LOST_IN_REFERENCE = ("vertex_top_pct", "right_profile_pct", "left_profile_pct", "posterior_pct")
REGIONS = ("top", "right", "left", "back")
HEAD = Head.from_tapes()
REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference" / "salt_examples.csv"


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


def test_every_computed_vector_of_the_reference_has_its_score_and_band():
    if not REFERENCE.exists():
        pytest.skip(f"the reference folder is not beside the repository: {REFERENCE.parent.name}/{REFERENCE.name}")
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["status"].startswith("COMPUTED")]
    assert len(rows) == len(EXAMPLES)  # the typed-in ones are the same
    for row in rows:
        lost = [float(row[column]) for column in LOST_IN_REFERENCE]
        score = scored(*lost)
        assert score.total == pytest.approx(float(row["score"]), abs=1e-9), row["note"]
        assert score.band == row["band_S"], row["note"]


@pytest.mark.parametrize(
    ("total", "band"),
    [
        (0, "S0"),
        (0.4, "S1"),
        (24.6, "S1"),
        (24.999, "S1"),
        (25, "S2"),
        (49.5, "S2"),
        (74.9, "S3"),
        (99.76, "S4"),
        (100, "S5"),
    ],
)
def test_a_score_between_two_printed_bands_belongs_to_the_one_it_has_reached(total, band):
    """The bands are printed for whole numbers (1-24, 25-49, …); what lies between is ours to decide, and decided so."""
    assert SaltScore(total, total, total, total, total).band == band


def scored(top, right, left, back):
    """The weighted sum as the code weighs it, of percentages that are given rather than painted."""
    lost = {"top": top, "right": right, "left": left, "back": back}
    return SaltScore(**lost, total=sum(SALT_WEIGHTS[region] * percent for region, percent in lost.items()))
