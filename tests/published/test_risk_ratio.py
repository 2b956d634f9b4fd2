"""Risk ratios, their intervals, the exact test and Holm's correction against published examples."""

import pytest
from scipy.stats import fisher_exact
from scipy.stats.contingency import relative_risk

from pieces.review.in_common import holm, ratio_interval
from pieces.review.rates import rate_of

# the score interval of the ratio
KOOPMAN = [
    # Perondi et al. 2004, high against standard dose: READ in the test suite of contingencytables, companion to
    # Fagerland, Lydersen and Laake 2017; to six decimals READ in the tests of a general statistics library
    ((7, 34), (1, 34), (1.220853, 42.575718), 1e-6),
    # Koopman's own example, Biometrics 40 (1984) 513-517: counts READ, interval MEMORY
    ((36, 40), (16, 80), (2.94, 7.15), 5e-3),
]


@pytest.mark.parametrize(("having", "lacking", "interval", "within"), KOOPMAN)
def test_the_interval_is_the_published_one(having, lacking, interval, within):
    assert ratio_interval(rate_of(*having), rate_of(*lacking)) == pytest.approx(interval, abs=within)


# the logarithmic interval of Katz et al. 1978, as SciPy's documentation prints it for 10/75 against 12/225 (READ)
def test_it_comes_near_the_other_usual_one_where_counts_are_not_small():
    assert tuple(relative_risk(10, 75, 12, 225).confidence_interval()) == pytest.approx((1.1261564, 5.5498508))
    assert ratio_interval(rate_of(10, 75), rate_of(12, 225)) == pytest.approx((1.1261564, 5.5498508), rel=0.03)
    large = tuple(relative_risk(1000, 7500, 1200, 22500).confidence_interval())
    assert ratio_interval(rate_of(1000, 7500), rate_of(1200, 22500)) == pytest.approx(large, rel=1e-3)


# Fisher's exact test of 0/16 against 15/72, Ritland et al. 2007: P = 0.06287 (READ in the same test suite)
def test_the_exact_test_is_the_published_one():
    assert fisher_exact([[0, 16], [15, 57]]).pvalue == pytest.approx(0.06287, abs=5e-6)


# READ in the documentation and the tests of two general libraries for several tests at once
@pytest.mark.parametrize(
    ("p_values", "corrected"),
    [
        ([0.001, 0.01, 0.03, 0.5], [0.004, 0.03, 0.06, 0.5]),
        ([0.05, 0.03, 0.01, 0.5], [0.1, 0.09, 0.04, 0.5]),
        ([1, 0.5, 0.1, 0.001, 0.0001, 0.002], [1, 1, 0.3, 0.005, 0.0006, 0.008]),
        ([0.05, 0.05, 0.05], [0.15, 0.15, 0.15]),
    ],
)
def test_holm_s_correction_is_the_published_one(p_values, corrected):
    assert holm(p_values) == pytest.approx(corrected)
