"""A thousand invented salons whose true return rates are known: who finds the worst tenth, and do the intervals hold.

Each salon has 40 groups of 2 to over 100 pieces (21 on average); how often pieces come back (5 to 25 %) and how much
groups differ (a beta distribution of weight 8 to 80) is its own. None of this is told to the code under test.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from pieces.review.rates import FEWEST_TO_RANK, rate_of
from pieces.review.shrinking import shrunk

pytestmark = pytest.mark.slow

SALONS, GROUPS, WORST = 1000, 40, 4
STATED, WITHIN = 0.95, 0.02


@dataclass
class Salon:
    true: np.ndarray
    x: np.ndarray
    n: np.ndarray

    def __post_init__(self):
        self.rates = [rate_of(x, n) for x, n in zip(self.x.tolist(), self.n.tolist(), strict=True)]
        self.shrunk = shrunk(list(zip(self.x.tolist(), self.n.tolist(), strict=True)))

    def found(self, shares, at_least=0):
        """How many of the truly worst tenth a ranking by these shares puts first; ties fall as they lie."""
        candidates = np.flatnonzero(self.n >= at_least)
        worst = candidates[np.argsort(-self.true[candidates])][:WORST]
        first = candidates[np.argsort(-np.asarray(shares)[candidates], kind="stable")][:WORST]
        return len(set(worst) & set(first))

    def holding(self, intervals):
        return np.mean([low <= true <= high for (low, high), true in zip(intervals, self.true, strict=True)])


@pytest.fixture(scope="module")
def salons():
    rng = np.random.default_rng(1998)
    made = []
    for _ in range(SALONS):
        mean, weight = rng.uniform(0.05, 0.25), np.exp(rng.uniform(np.log(8), np.log(80)))
        true = rng.beta(mean * weight, (1 - mean) * weight, GROUPS)
        n = 1 + rng.geometric(1 / 20, GROUPS)
        made.append(Salon(true, rng.binomial(n, true), n))
    return made


def found_by_both(salons, at_least):
    raw = [salon.found([rate.share for rate in salon.rates], at_least) for salon in salons]
    ours = [salon.found([group.share for group in salon.shrunk], at_least) for salon in salons]
    return np.array(raw), np.array(ours)


def test_the_shrunken_ranking_finds_the_worst_tenth_better_than_raw_rates(salons):
    raw, ours = found_by_both(salons, at_least=0)
    gain = ours - raw
    assert ours.mean() > 1.1 * raw.mean()
    assert gain.mean() > 4 * gain.std() / np.sqrt(SALONS)  # not by luck


def test_it_finds_no_fewer_where_only_large_groups_are_ranked(salons):
    """Most of what misleads raw rates is in small groups, which stand in no ranking either way."""
    raw, ours = found_by_both(salons, at_least=FEWEST_TO_RANK)
    assert ours.mean() >= raw.mean()


def test_the_shrunken_shares_are_nearer_to_the_truth(salons):
    raw = sum(((salon.x / salon.n - salon.true) ** 2).sum() for salon in salons)
    ours = sum(((np.array([group.share for group in salon.shrunk]) - salon.true) ** 2).sum() for salon in salons)
    assert ours < raw / 2


def test_the_shrunken_intervals_hold_as_often_as_they_say(salons):
    holding = np.mean([salon.holding([(g.low, g.high) for g in salon.shrunk]) for salon in salons])
    assert holding == pytest.approx(STATED, abs=WITHIN)


def test_wilson_s_intervals_hold_as_often_as_they_say(salons):
    holding = np.mean([salon.holding([(rate.low, rate.high) for rate in salon.rates]) for salon in salons])
    assert holding == pytest.approx(STATED, abs=WITHIN)


def test_they_hold_so_in_small_groups_and_in_large_ones(salons):
    for small in (True, False):
        inside = [
            low_high.low <= true <= low_high.high
            for salon in salons
            for low_high, true, n in zip(salon.shrunk, salon.true, salon.n, strict=True)
            if (n < FEWEST_TO_RANK) == small
        ]
        assert np.mean(inside) == pytest.approx(STATED, abs=WITHIN)
