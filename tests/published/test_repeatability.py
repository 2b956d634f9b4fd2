"""Repeatability against the peak flow of 17 people measured twice, from which its authors worked it out."""

from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from clients.scalp.repeatability import repeatability

READINGS = np.loadtxt(Path(__file__).parent / "repeated_peak_flow.csv", delimiter=",")
METERS = {"wright": READINGS[:, 0] - READINGS[:, 1], "mini": READINGS[:, 2] - READINGS[:, 3]}


# s_w as Bland and Altman print it in Stat Methods Med Res 8 (1999) 135-160 (MEMORY)
@pytest.mark.parametrize(("meter", "within_sd"), [("wright", 15.3), ("mini", 19.9)])
def test_the_within_subject_standard_deviation_is_the_published_one(meter, within_sd):
    assert repeatability(METERS[meter].tolist()).within_sd == pytest.approx(within_sd, abs=0.05)


# twice the standard deviation of the differences about zero, which the paper of 1986 calls the coefficient (MEMORY)
@pytest.mark.parametrize(("meter", "coefficient"), [("wright", 43.2), ("mini", 56.4)])
def test_two_standard_deviations_of_a_difference_are_the_published_coefficient(meter, coefficient):
    assert 2 * np.sqrt(2) * repeatability(METERS[meter].tolist()).within_sd == pytest.approx(coefficient, abs=0.15)


def test_it_is_the_within_group_mean_square_of_a_one_way_analysis_of_variance():
    for first, second in ((0, 1), (2, 3)):
        pairs = READINGS[:, [first, second]]
        within = ((pairs - pairs.mean(axis=1, keepdims=True)) ** 2).sum() / len(pairs)  # 17 degrees of freedom
        between = 2 * pairs.mean(axis=1).var(ddof=1)
        assert stats.f_oneway(*pairs).statistic == pytest.approx(between / within)
        assert repeatability((pairs[:, 0] - pairs[:, 1]).tolist()).within_sd ** 2 == pytest.approx(within)


def test_the_factor_is_student_s_and_comes_down_to_that_of_the_papers():
    assert repeatability([1.0] * 5).factor == pytest.approx(2.571, abs=5e-4)  # t, 5 degrees of freedom, 97.5 % (MEMORY)
    assert repeatability([1.0] * 10_000).factor == pytest.approx(1.96, abs=1e-3)
