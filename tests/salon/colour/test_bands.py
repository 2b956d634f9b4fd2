"""Words for a colour difference: limits, doubt, and what full cover lets pass."""

import pytest

from salon.colour.bands import Band, BandLimits, name_difference

LIMITS = BandLimits(disappears=2, close=4, shows=6)


@pytest.mark.parametrize(
    ("difference", "band"),
    [
        (0.0, Band.DISAPPEARS),
        (2.0, Band.DISAPPEARS),
        (2.01, Band.CLOSE),
        (4.0, Band.CLOSE),
        (5.9, Band.SHOWS),
        (6.1, Band.ANOTHER),
        (40.0, Band.ANOTHER),
    ],
)
def test_a_difference_on_a_limit_belongs_to_the_better_band(difference, band):
    assert name_difference(difference, doubt=0, limits=LIMITS).band is band


def test_a_careless_reading_cannot_earn_the_best_word():
    assert name_difference(1.5, doubt=0.3, limits=LIMITS).band is Band.DISAPPEARS
    careless = name_difference(1.5, doubt=2.0, limits=LIMITS)
    assert careless.with_doubt == 2.5  # 1.5 and 2.0 in quadrature
    assert careless.band is Band.CLOSE


def test_the_words_carry_the_number_and_its_doubt():
    assert name_difference(3.12, doubt=0.8, limits=LIMITS).words == "close (ΔE00 3.1, give or take 0.8)"
    assert name_difference(5.0, doubt=0, limits=LIMITS).words == "shows at the edge (ΔE00 5.0)"


@pytest.mark.parametrize(
    ("difference", "alone", "under_full_cover"),
    [(1.0, True, True), (3.0, True, True), (5.0, False, True), (7.0, False, False)],
)
def test_full_cover_lets_the_next_band_pass(difference, alone, under_full_cover):
    assert name_difference(difference, doubt=0, limits=LIMITS).passes is alone
    assert name_difference(difference, doubt=0, limits=LIMITS, widened_by=1).passes is under_full_cover


@pytest.mark.parametrize("limits", [(0, 4, 6), (4, 4, 6), (2, 7, 6), (2, 4, float("inf")), (2, float("nan"), 6)])
def test_limits_that_do_not_rise_are_refused_with_their_values(limits):
    with pytest.raises(ValueError, match="must rise from above zero"):
        BandLimits(*limits)


@pytest.mark.parametrize(("difference", "doubt"), [(-1, 0), (1, -1), (float("nan"), 0), (1, float("inf"))])
def test_a_difference_or_doubt_that_cannot_be_is_refused(difference, doubt):
    with pytest.raises(ValueError, match="is zero or more"):
        name_difference(difference, doubt=doubt, limits=LIMITS)
