"""How sure one value and one change are, from heads painted twice."""

import math

import numpy as np
import pytest

from clients.scalp.repeatability import repeatability


def test_a_change_is_explained_by_painting_up_to_the_repeatability_and_no_further():
    found = repeatability([2.0, -2.0, 2.0, -2.0, 2.0])
    assert found.within_sd == pytest.approx(math.sqrt(2))
    assert found.of_a_difference == pytest.approx(math.sqrt(2) * found.of_one)
    assert found.explains(found.of_a_difference)
    assert found.explains(-found.of_a_difference)
    assert not found.explains(found.of_a_difference + 1e-9)


def test_of_two_values_of_an_unchanged_head_about_one_in_twenty_differs_by_more():
    chance = np.random.default_rng(20)
    beyond = []
    for _ in range(400):
        pairs = chance.normal(size=(5, 2)) * 3
        found = repeatability((pairs[:, 0] - pairs[:, 1]).tolist())
        beyond.append(not found.explains(float(np.diff(chance.normal(size=2) * 3)[0])))
    assert 0.02 < np.mean(beyond) < 0.09  # 0.05 and three standard errors


@pytest.mark.parametrize("wrong", [[], [1.0, math.nan], [math.inf]])
def test_nothing_is_worked_out_from_no_pair_or_from_no_number(wrong):
    with pytest.raises(ValueError, match="one or more finite differences"):
        repeatability(wrong)
