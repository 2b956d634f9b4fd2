"""The Kaplan–Meier curve, its median and interval: against Freireich 1963 and Bewick, Cheek and Ball 2004.

Freireich EJ et al., Blood 21:699-716, 1963: weeks in remission under 6-MP and placebo (READ in Le, Introductory
Biostatistics, example 11.1); S(t) to three decimals READ in the notes of STAT 574, University of New Mexico. Bewick V,
Cheek L, Ball J, Critical Care 8:389, 2004, table 2 (READ). Standard errors by Greenwood's formula: recomputed.
Intervals of the median on the log-log scale (13 to open, and 4 to 11 weeks): MEMORY of what statistical programs print.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.care.life import Lasted, Life, life_of, survival

PUBLISHED = Path(__file__).parents[2] / "published" / "kaplan_meier.csv"
GROUPS = ["6-MP", "placebo", "Bewick2004-treatment2"]


def rows_of(record, group):
    with PUBLISHED.open() as file:
        next(file)  # the citation
        return [row for row in csv.DictReader(file) if (row["record"], row["group"]) == (record, group)]


def observed(group):
    return [Lasted(int(row["time"]), row["event_1_censored_0"] == "1", 1) for row in rows_of("obs", group)]


@pytest.mark.parametrize("group", GROUPS)
def test_the_curve_steps_as_published(group):
    curve = survival(observed(group))
    for row in rows_of("km", group):
        found = curve.evaluate(float(row["time"]))
        assert found == pytest.approx(float(row["S_recomputed"]), abs=5e-7)
        if row["S_published"]:
            assert found == pytest.approx(float(row["S_published"]), abs=5e-4)  # printed to three decimals


def test_its_error_is_greenwoods():
    curve = survival(observed("6-MP"))
    band = curve.confidence_interval(method="linear")
    errors = (band.high.probabilities - band.low.probabilities) / 2 / 1.959964
    by_time = dict(zip(curve.quantiles, errors, strict=True))
    for row in rows_of("km", "6-MP")[1:]:  # at the first step the band is cut off at one
        assert by_time[float(row["time"])] == pytest.approx(float(row["greenwood_se_recomputed"]), abs=5e-6)


def test_medians_and_intervals():
    assert life_of(observed("6-MP")) == Life(21, 9, 23, 13, None)
    assert life_of(observed("placebo")) == Life(21, 21, 8, 4, 11)
    assert life_of(observed("Bewick2004-treatment2")).median_days == 5  # S(5) is exactly one half


def test_without_an_end_nothing_is_known():
    assert life_of([Lasted(200, False, 12)]) == Life(12, 0, None, None, None)
    assert life_of([]) == Life(0, 0, None, None, None)


def test_while_fewer_than_half_have_worn_out_the_median_is_open():
    assert life_of([Lasted(100, True, 3), Lasted(300, False, 9)]).median_days is None


def test_all_at_once_has_a_median_and_no_interval():
    assert life_of([Lasted(90, True, 5)]) == Life(5, 5, 90, None, None)


@pytest.mark.parametrize("wrong", [Lasted(-1, True, 1), Lasted(4, True, -2)])
def test_what_can_not_be_is_refused(wrong):
    with pytest.raises(ValueError, match="no less than 0 days"):
        life_of([wrong])


TIMES = st.lists(st.tuples(st.integers(0, 900), st.booleans(), st.integers(1, 4)), min_size=1, max_size=30)


@given(TIMES)
def test_counts_are_the_same_as_single_pieces(times):
    counted = [Lasted(*time) for time in times]
    single = [Lasted(row.days, row.worn_out, 1) for row in counted for _ in range(row.pieces)]
    assert life_of(counted) == life_of(single)


@given(TIMES)
def test_without_censoring_it_is_the_middle_of_what_was_seen(times):
    counted = [Lasted(days, True, pieces) for days, _, pieces in times]
    everyone = np.repeat([row.days for row in counted], [row.pieces for row in counted])
    assert life_of(counted).median_days == int(np.quantile(everyone, 0.5, method="inverted_cdf"))


@given(TIMES)
def test_the_median_lies_in_its_interval(times):
    life = life_of(Lasted(*time) for time in times)
    known = [day for day in (life.low_days, life.median_days, life.high_days) if day is not None]
    assert known == sorted(known)
