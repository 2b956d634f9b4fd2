"""Doubtful tapes, against open surveys of heads."""

import csv
from pathlib import Path

import pytest

from clients.scalp.head import ASSUMED_TAPES
from clients.scalp.surveys import CIRCUMFERENCE, EAR_TO_EAR, LENGTH_OVER_WIDTH, tape_warnings, usual_range_mm

REFERENCE = Path(__file__).parents[4] / "shared" / "reference"
ORDINARY = {"circumference_mm": 559, "front_to_nape_mm": 356, "ear_to_ear_mm": 343}


def test_ordinary_tapes_give_no_warning():
    assert tape_warnings(**ORDINARY) == []
    assert tape_warnings(**ASSUMED_TAPES._asdict()) == []
    assert tape_warnings() == []


@pytest.mark.parametrize(
    ("tapes", "words"),
    [
        (
            {"circumference_mm": 640},
            "Circumference 64.0 cm is unusual: nearly everyone surveyed measured 51.5 cm to 62.0",
        ),
        ({"circumference_mm": 500}, "Take the circumference again"),
        ({"ear_to_ear_mm": 295}, "Ear to ear 29.5 cm is unusual: nearly everyone surveyed measured 30.5 cm to 38.5 cm"),
        ({"ear_to_ear_mm": 400}, "Take ear to ear again, from the top of one ear"),
        ({"front_to_nape_mm": 330, "ear_to_ear_mm": 343}, "make the head wider than it is long"),
        ({"front_to_nape_mm": 388, "ear_to_ear_mm": 343}, "make the head much longer than it is wide"),
    ],
)
def test_a_doubtful_tape_is_named_with_what_is_usual_and_what_to_do(tapes, words):
    (warning,) = tape_warnings(**tapes)
    assert words in warning
    assert warning.endswith("keep it if it reads the same.")


def test_each_doubtful_tape_has_its_own_sentence():
    assert len(tape_warnings(circumference_mm=640, front_to_nape_mm=330, ear_to_ear_mm=290)) == 2
    assert len(tape_warnings(circumference_mm=640, front_to_nape_mm=350, ear_to_ear_mm=390)) == 3


def test_warnings_speak_in_inches_to_those_who_measure_in_inches():
    (warning,) = tape_warnings(circumference_mm=640, units="in")
    assert "Circumference 25¼ in is unusual: nearly everyone surveyed measured 20¼ in to 24⅜ in" in warning


def test_front_to_nape_alone_is_not_judged():
    assert tape_warnings(front_to_nape_mm=300) == []


def test_tapes_that_fit_no_head_are_left_to_the_refusal():
    assert tape_warnings(circumference_mm=559, front_to_nape_mm=600, ear_to_ear_mm=343) == []


def survey_rows():
    path = REFERENCE / "ansur2_head_summary.csv"
    if not path.exists():
        pytest.skip(f"the survey table {path.name} is not beside the project")
    with path.open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize(
    ("ranges", "dimensions"),
    [(CIRCUMFERENCE, ("HEADCIRC", "headcircumference")), (EAR_TO_EAR, ("BITCOR",))],
)
def test_the_percentiles_are_those_of_the_surveys(ranges, dimensions):
    # NIOSH 2003 (CDC dataset RD-10130-2020-0) and ANSUR II 2012 (NATICK/TR-15/007): raw data READ, percentiles COMPUTED
    published = {
        (row["survey"].split(" (")[0], row["sex"]): (float(row["p01"]), float(row["p99"]))
        for row in survey_rows()
        if row["dimension"] in dimensions
    }
    assert {(one.survey, one.sex): (one.p01_mm, one.p99_mm) for one in ranges} == published


def test_the_usual_range_takes_women_and_men_together():
    assert usual_range_mm(CIRCUMFERENCE) == (515, 620)
    assert usual_range_mm(EAR_TO_EAR) == (305, 385)


def test_the_shape_limits_are_those_of_the_raw_surveys():
    ratios = []
    for name, length, breadth in (("ansur2", "headlength", "headbreadth"), ("niosh2003", "HEADLTH", "HEADBR")):
        path = REFERENCE / f"{name}_head.csv"
        if not path.exists():
            pytest.skip(f"the survey table {path.name} is not beside the project")
        with path.open(encoding="utf-8") as lines:
            ratios.append([float(row[length]) / float(row[breadth]) for row in csv.DictReader(lines) if row[breadth]])
    low, high = LENGTH_OVER_WIDTH
    assert all(min(survey) > low for survey in ratios)
    assert all(sorted(survey)[round(len(survey) * 0.99)] < high for survey in ratios)
