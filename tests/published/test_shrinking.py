"""Shrunk rates against three published examples: rat tumours, 18 batters of 1970, and a league of batters."""

from pathlib import Path

import numpy as np
import pytest
from scipy.special import betaln
from scipy.stats import beta

from pieces.review.shrinking import likely_distributions, shrunk

HERE = Path(__file__).parent
TUMOURS = np.loadtxt(HERE / "rat_tumours.csv", delimiter=",")
BATTERS = np.loadtxt(HERE / "batting_1970.csv", delimiter=",")


def pairs(rows):
    return [(int(x), int(n)) for x, n in rows]


@pytest.fixture(scope="module")
def whole_grid():
    """(a, b, weight) on the grid of the book's figure 5.3: log(a/b) and log(a + b), nothing left out."""
    ratio, size = np.meshgrid(np.arange(-2.8, -0.8, 0.01), np.arange(0.0, 9.0, 0.02))
    a = np.exp(size) / (1 + np.exp(-ratio))
    b = np.exp(size) - a
    log_weight = -2.5 * np.log(a + b) + np.log(a * b)
    for x, n in TUMOURS:
        log_weight += betaln(a + x, b + n - x) - betaln(a, b)
    weight = np.exp(log_weight - log_weight.max())
    return a.ravel(), b.ravel(), weight.ravel() / weight.sum(), ratio.ravel(), size.ravel()


# E(α | y), E(β | y): (2.4, 14.3) in Bayesian Data Analysis, section 5.3 (MEMORY)
def test_the_distribution_behind_the_rats_is_the_published_one():
    a, b, weight = likely_distributions(*TUMOURS.T, np.ones(len(TUMOURS)))
    assert weight.sum() == pytest.approx(1)
    assert (float(a @ weight), float(b @ weight)) == pytest.approx((2.4, 14.3), abs=0.1)


# the mode at log(α/β) = −1.79, log(α + β) = 2.74, so that α = 2.21, β = 13.27 (READ, with the data)
def test_its_mode_is_the_published_one(whole_grid):
    a, b, weight, ratio, size = whole_grid
    mode = weight.argmax()
    assert (ratio[mode], size[mode]) == pytest.approx((-1.79, 2.74), abs=0.011)
    ours = likely_distributions(*TUMOURS.T, np.ones(len(TUMOURS)))
    assert np.median(np.repeat(ours[0], np.rint(1e4 * ours[2]).astype(int))) == pytest.approx(2.21, abs=0.15)
    assert (float(a[mode]), float(b[mode])) == pytest.approx((2.21, 13.27), abs=0.15)


def test_each_rate_is_that_of_the_whole_grid(whole_grid):
    a, b, weight, _, _ = whole_grid
    groups = [0, 20, 40, 57, 70]  # 0/20, 1/19, 3/20, 12/49 and the 71st, 4/14
    found = shrunk(pairs(TUMOURS))
    for group in groups:
        x, n = TUMOURS[group]
        assert found[group].share == pytest.approx(float(((x + a) / (n + a + b)) @ weight), abs=2e-4)
        for end, chance in ((found[group].low, 0.025), (found[group].high, 0.975)):
            assert float(beta.cdf(end, x + a, n - x + b) @ weight) == pytest.approx(chance, abs=5e-4)


def test_the_71st_group_lies_between_its_own_rate_and_the_others():
    newest = shrunk(pairs(TUMOURS))[70]
    assert 0.136 < newest.share < 4 / 14  # 0.136: the mean of the 70 before (MEMORY)
    assert newest.share == pytest.approx(0.21, abs=0.01)  # 0.223 where the first 70 alone are heard (MEMORY)


def test_the_batters_come_far_nearer_to_the_rest_of_their_season():
    hits, at_bats, rest, stein = BATTERS.T
    share = np.array([batter.share for batter in shrunk(pairs(BATTERS[:, :2]))])
    raw_error = ((hits / at_bats - rest) ** 2).sum()
    assert raw_error == pytest.approx(0.0754, abs=2e-4)  # published from averages rounded to three decimals
    assert ((stein - rest) ** 2).sum() == pytest.approx(0.0213, abs=5e-5)
    assert raw_error / ((share - rest) ** 2).sum() > 3  # 3.5 by James and Stein
    assert np.abs(share - stein).max() < 0.02  # their formula supposes equal variances and a normal scale
    # the published order is kept, players with as many hits stay equal
    assert (np.diff(share) <= 1e-12).all()


# Robinson D., Understanding empirical Bayes estimation, 2015: 4/10, 300/1000 and 3771/12364 (READ), the prior that his
# league has, α = 78.661 and β = 224.875 (MEMORY), and from it (x + α)/(n + α + β) = 0.264, 0.290, 0.304
def test_a_league_with_the_published_distribution_gives_the_published_estimates():
    rng = np.random.default_rng(2015)
    at_bats = rng.integers(500, 6000, 3000)
    hits = rng.binomial(at_bats, rng.beta(78.661, 224.875, 3000))
    league = [(4, 10), (300, 1000), (3771, 12364), *zip(hits.tolist(), at_bats.tolist(), strict=True)]
    found = [batter.share for batter in shrunk(league)[:3]]
    assert found == pytest.approx([0.264, 0.290, 0.304], abs=0.002)
