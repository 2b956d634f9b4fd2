"""Undoing camera and lamp: the card's scaling, the chart's fit against the field's library, and leave-one-out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.charts import OUTSIDE_SRGB, chart_xyz
from salon.colour.correction import (
    FEWEST_PATCHES,
    card_scaling,
    fit_chart,
    lab_from_linear,
    plain,
    root_polynomial,
    usable_patches,
    weighted_fits,
    weights_of,
)
from salon.colour.difference import ciede2000
from salon.colour.lab import LINEAR_RGB_OF_XYZ, lab_from_xyz

XYZ = chart_xyz("after")
LINEAR = np.maximum(XYZ @ LINEAR_RGB_OF_XYZ.T, 0)
IN_SRGB = np.delete(np.arange(24), OUTSIDE_SRGB)
CROSSTALK = np.array([[0.90, 0.08, 0.02], [0.05, 0.88, 0.07], [-0.03, 0.13, 0.90]])
HAIR = np.array([[0.02, 0.012, 0.006], [0.08, 0.05, 0.03], [0.3, 0.2, 0.11]])

gains = st.tuples(*[st.floats(0.55, 1.05)] * 3).map(np.array)


def photographed(linear, *, crosstalk=CROSSTALK, gains=(0.9, 0.7, 0.8), tone=1.0):
    return np.maximum(linear @ np.asarray(crosstalk).T * gains, 0) ** tone


# The card


@given(gains, gains)
def test_no_lamp_and_no_exposure_changes_what_the_card_gives(one, other):
    labs = [card_scaling(0.18 * by, reflectance=0.18).lab(HAIR * by) for by in (one, other)]
    np.testing.assert_allclose(*labs, rtol=0, atol=1e-9)
    np.testing.assert_allclose(labs[0], lab_from_linear(HAIR), rtol=0, atol=1e-9)


@pytest.mark.parametrize(("card", "reflectance"), [([0, 0.1, 0.1], 0.18), ([0.1] * 3, 0.0), ([0.1] * 2, 0.18)])
def test_a_card_that_cannot_be_is_refused(card, reflectance):
    with pytest.raises(ValueError, match="three channels above zero"):
        card_scaling(card, reflectance=reflectance)


# The chart


@given(gains, gains)
def test_no_lamp_and_no_exposure_changes_what_the_chart_gives(one, other):
    fits = [fit_chart(photographed(LINEAR, gains=by, tone=1.05), XYZ) for by in (one, other)]
    labs = [fit.lab(photographed(HAIR, gains=by, tone=1.05)) for fit, by in zip(fits, (one, other), strict=True)]
    if fits[0].patches_used == fits[1].patches_used:
        np.testing.assert_allclose(*labs, rtol=0, atol=1e-6)
    else:  # the white patch is over the top in one of them
        assert ciede2000(*labs).max() < 0.1


@pytest.mark.parametrize("tone", [0.9, 1.0, 1.15, 1.3])
def test_a_camera_of_the_fitted_kind_is_undone_whole(tone):
    fit = fit_chart(photographed(LINEAR, tone=tone), XYZ)
    assert fit.kind == "linear 3 × 3"
    assert fit.exponent == pytest.approx(tone)
    assert fit.patches_used == 23
    assert fit.residual_after < 0.01 < fit.residual_before
    assert ciede2000(fit.lab(photographed(HAIR, tone=tone)), lab_from_linear(HAIR)).max() < 0.01


def test_a_camera_that_no_matrix_undoes_takes_the_root_polynomial():
    mixing = 0.15 * np.sqrt(LINEAR * np.roll(LINEAR, 1, axis=1))
    fit = fit_chart(0.8 * (LINEAR + mixing), XYZ)
    assert fit.kind == "root-polynomial"
    seen = 0.8 * (HAIR + 0.15 * np.sqrt(HAIR * np.roll(HAIR, 1, axis=1)))
    assert ciede2000(fit.lab(seen), lab_from_linear(HAIR)).max() < 0.6


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
@pytest.mark.parametrize(("expanded", "degree"), [(plain, 1), (root_polynomial, 2)])
def test_unweighted_fits_are_those_of_the_fields_library(expanded, degree):
    from colour.characterisation import matrix_colour_correction_Finlayson2015

    seen, aim = photographed(LINEAR, tone=1.1)[IN_SRGB], LINEAR[IN_SRGB]
    (matrix,), _ = weighted_fits(expanded(seen)[None], aim, np.ones(len(aim)))
    theirs = matrix_colour_correction_Finlayson2015(seen, aim, degree=degree, root_polynomial_expansion=True)
    np.testing.assert_allclose(matrix.T, theirs, rtol=0, atol=1e-9)


@pytest.mark.parametrize("expanded", [plain, root_polynomial])
def test_leaving_one_out_by_the_hat_matrix_is_fitting_anew_without_it(expanded):
    random = np.random.default_rng(4)
    seen = photographed(LINEAR, tone=1.1)[IN_SRGB] * random.uniform(0.97, 1.03, (len(IN_SRGB), 3))
    features, aim, weights = expanded(seen), LINEAR[IN_SRGB], weights_of(XYZ[IN_SRGB])
    _, left_out = weighted_fits(features[None], aim, weights)
    for one in range(len(aim)):
        others = np.arange(len(aim)) != one
        (matrix,), _ = weighted_fits(features[None, others], aim[others], weights[others])
        np.testing.assert_allclose(left_out[0, one], features[one] @ matrix, rtol=0, atol=1e-9)


def test_the_residuals_are_those_of_the_patches_used():
    noisy = photographed(LINEAR) * np.random.default_rng(8).uniform(0.98, 1.02, (24, 3))
    fit = fit_chart(noisy, XYZ)
    assert np.isnan(fit.errors[list(OUTSIDE_SRGB)]).all()
    assert fit.residual_after == pytest.approx(np.sqrt(np.nanmean(fit.errors**2)))
    before = ciede2000(lab_from_linear(noisy[IN_SRGB]), lab_from_xyz(XYZ[IN_SRGB]))
    assert fit.residual_before == pytest.approx(np.sqrt(np.mean(before**2)))


def test_clipped_and_lost_patches_are_left_out():
    seen = photographed(LINEAR)
    seen[18] = [0.99, 0.9, 0.9]
    seen[23] = [0.02, 0.0, 0.02]
    usable = usable_patches(seen)
    assert set(np.flatnonzero(~usable)) == {17, 18, 23}
    assert fit_chart(seen, XYZ).patches_used == 21


def test_a_chart_of_which_too_little_is_left_is_refused():
    with pytest.raises(ValueError, match=f"needs {FEWEST_PATCHES} patches of the chart, "):
        fit_chart(np.minimum(LINEAR * 6, 1), XYZ)


def test_a_colour_that_a_fit_takes_below_black_is_black_there():
    assert np.isfinite(fit_chart(photographed(LINEAR), XYZ).lab([[0, 0, 0], [0.5, 0, 0]])).all()
