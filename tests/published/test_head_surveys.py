"""The assumed head and the shape itself against two open surveys of heads."""

import csv
from pathlib import Path

import numpy as np
import pytest

from clients.scalp.head import Head, TapesError
from clients.scalp.tapes import ASSUMED_TAPES

SURVEYS = np.loadtxt(Path(__file__).parent / "head_surveys.csv", delimiter=",")
NIOSH_WOMEN, NIOSH_MEN, ANSUR_WOMEN, ANSUR_MEN = SURVEYS
RAW_NIOSH = Path(__file__).parents[3] / "shared" / "reference" / "niosh2003_head.csv"


def test_the_assumed_circumference_is_the_surveyed_womens():
    for survey in (NIOSH_WOMEN, ANSUR_WOMEN):
        mean, spread = survey[:2]
        assert abs(ASSUMED_TAPES.circumference_mm - mean) < 0.15 * spread


def test_the_assumed_ear_to_ear_tape_is_the_surveyed_womens():
    mean, spread = NIOSH_WOMEN[2:4]
    assert abs(ASSUMED_TAPES.ear_to_ear_mm - mean) < 0.15 * spread


def test_an_average_man_is_no_stranger_either():
    head = Head.from_tapes(circumference_mm=NIOSH_MEN[0], ear_to_ear_mm=NIOSH_MEN[2])
    assert head.area_cm2 > Head.from_tapes().area_cm2


def test_the_assumed_scalp_lies_in_the_published_range():
    assert 500 < Head.from_tapes().area_cm2 < 775  # REFERENCES: clinic text and Behrman, as J Soc Cosmet Chem 28 quotes


@pytest.mark.parametrize(
    ("survey", "area_cm2", "over_the_ears_mm"), [(ANSUR_WOMEN, 602.3, 320.2), (ANSUR_MEN, 656.0, 332.7)]
)
def test_half_ellipsoids_of_surveyed_diameters_have_the_areas_and_arcs_computed_elsewhere(
    survey, area_cm2, over_the_ears_mm
):
    length, breadth, height = survey[4:]
    head = Head((length / 2, breadth / 2, height))
    assert head.area_cm2 == pytest.approx(area_cm2, abs=0.05)
    assert head.tapes_mm.ear_to_ear_mm == pytest.approx(over_the_ears_mm, abs=0.05)


def test_diameters_alone_make_the_head_too_small_as_the_surveys_show():
    """Why the tapes are asked for: a plain ellipsoid from length, breadth and height is short over the crown."""
    length, breadth, height = ANSUR_WOMEN[4:]
    from_diameters = Head((length / 2, breadth / 2, height)).tapes_mm
    assert 0.04 < 1 - from_diameters.ear_to_ear_mm / NIOSH_WOMEN[2] < 0.07
    assert 0.03 < 1 - from_diameters.circumference_mm / ANSUR_WOMEN[0] < 0.06


@pytest.mark.skipif(not RAW_NIOSH.exists(), reason="the raw survey is not kept with the project")
def test_hardly_anyone_surveyed_is_refused_for_an_assumed_tape():
    with RAW_NIOSH.open() as survey:
        measured = [(row["HEADCIRC"], row["BITCOR"]) for row in csv.DictReader(survey)]
    people = [(float(around), float(over)) for around, over in measured if around and over]
    refused = 0
    for circumference, ear_to_ear in people:
        try:
            Head.from_tapes(circumference_mm=circumference, ear_to_ear_mm=ear_to_ear)
        except TapesError:
            refused += 1
    assert len(people) > 3900
    assert refused / len(people) < 0.005
