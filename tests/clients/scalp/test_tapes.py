"""Three tapes round a head: the half ellipsoid they fit, and the sentence when they fit none."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from clients.scalp.tapes import (
    ASSUMED_TAPES,
    AXIS_RATIOS,
    Tapes,
    TapesError,
    ellipse_perimeter,
    semi_axes_from_tapes,
)


def test_the_fitted_shape_has_the_tapes_it_was_fitted_to():
    a, b, c = semi_axes_from_tapes(Tapes(571.0, 342.0, 355.0))
    assert ellipse_perimeter(a, b) == pytest.approx(571, abs=1e-6)
    assert ellipse_perimeter(a, c) / 2 == pytest.approx(342, abs=1e-6)
    assert ellipse_perimeter(b, c) / 2 == pytest.approx(355, abs=1e-6)


@given(st.floats(70, 110), st.floats(0.7, 1.4), st.floats(0.8, 1.6))
def test_any_head_is_found_again_from_its_tapes(a, b_share, c_share):
    b, c = a * b_share, a * c_share
    assume(b / c > AXIS_RATIOS[0])
    tapes = Tapes(ellipse_perimeter(a, b), ellipse_perimeter(a, c) / 2, ellipse_perimeter(b, c) / 2)
    np.testing.assert_allclose(semi_axes_from_tapes(tapes), (a, b, c), rtol=1e-8)


def test_a_ball_has_the_tapes_of_a_ball():
    around = 2 * math.pi * 90
    np.testing.assert_allclose(semi_axes_from_tapes(Tapes(around, around / 2, around / 2)), 90)


@pytest.mark.parametrize(
    ("tapes", "words", "field"),
    [
        (
            Tapes(559, 356, 800),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 356 mm, ear to ear 800 mm. "
            "The ear to ear tape is out of keeping with the other two: "
            "take it again (about 343 mm would go with them).",
            "ear_to_ear_mm",
        ),
        (
            Tapes(559, 200, 343),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 200 mm, ear to ear 343 mm. "
            "The front to nape tape is out of keeping with the other two: "
            "take it again (about 356 mm would go with them).",
            "front_to_nape_mm",
        ),
        (
            Tapes(1000, 356, 343),
            "These tapes cannot belong to one head: circumference 1000 mm, front to nape 356 mm, ear to ear 343 mm. "
            "The circumference tape is out of keeping with the other two: "
            "take it again (about 559 mm would go with them).",
            "circumference_mm",
        ),
        (
            Tapes(559, 0, 343),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 0 mm, ear to ear 343 mm. "
            "The front to nape tape must be a length above zero.",
            "front_to_nape_mm",
        ),
        (
            Tapes(-559, 356, 343),
            "These tapes cannot belong to one head: circumference -559 mm, front to nape 356 mm, ear to ear 343 mm. "
            "The circumference tape must be a length above zero.",
            "circumference_mm",
        ),
        (
            Tapes(559, 356, math.nan),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 356 mm, ear to ear nan mm. "
            "The ear to ear tape must be a length above zero.",
            "ear_to_ear_mm",
        ),
        (
            Tapes(22, 356, 343),
            "These tapes cannot belong to one head: circumference 22 mm, front to nape 356 mm, ear to ear 343 mm. "
            "The circumference tape of a head is 250 to 1200 mm. Was 22 in (559 mm) meant?",
            "circumference_mm",
        ),
        (
            Tapes(559, 35.6, 343),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 35.6 mm, ear to ear 343 mm. "
            "The front to nape tape of a head is 150 to 800 mm. Was 35.6 cm (356 mm) meant?",
            "front_to_nape_mm",
        ),
        (
            Tapes(559, 356, 5000),
            "These tapes cannot belong to one head: circumference 559 mm, front to nape 356 mm, ear to ear 5000 mm. "
            "The ear to ear tape of a head is 150 to 800 mm. Take it again.",
            "ear_to_ear_mm",
        ),
    ],
)
def test_tapes_of_no_head_are_refused_with_the_one_to_take_again(tapes, words, field):
    with pytest.raises(TapesError) as refusal:
        semi_axes_from_tapes(tapes)
    assert str(refusal.value) == words
    assert refusal.value.tape == field


def test_a_tape_nobody_took_is_asked_for_instead_of_blamed():
    with pytest.raises(TapesError, match="was not taken, and an average head's is out of keeping") as refusal:
        semi_axes_from_tapes(Tapes(300, 356, 185), assumed=("front_to_nape_mm",))
    assert refusal.value.tape == "front_to_nape_mm"


def test_when_no_single_tape_explains_it_all_three_are_asked_for():
    with pytest.raises(TapesError, match="take all three again") as refusal:
        semi_axes_from_tapes(Tapes(250, 800, 800))
    assert refusal.value.tape == ""


@given(st.tuples(*(st.floats(150, 1300) for _ in range(3))))
def test_tapes_either_fit_a_head_or_are_refused_in_sentences(tapes):
    try:
        semi_axes = semi_axes_from_tapes(Tapes(*tapes))
    except TapesError as refusal:
        words = str(refusal)
        told = words.startswith("These tapes cannot belong to one head: ") and words.endswith((".", "?"))
    else:
        told = max(semi_axes) <= 2 * min(semi_axes)
    assert told


def test_the_advised_tape_makes_a_head():
    for tapes in (Tapes(559, 356, 800), Tapes(559, 200, 343), Tapes(1000, 356, 343), Tapes(500, 420, 210)):
        with pytest.raises(TapesError) as refusal:
            semi_axes_from_tapes(tapes)
        advised = float(str(refusal.value).split("about ")[1].split(" mm")[0])
        semi_axes_from_tapes(tapes._replace(**{refusal.value.tape: advised}))


def test_the_assumed_tapes_are_22_and_14_and_13_and_a_half_inches():
    np.testing.assert_allclose(ASSUMED_TAPES, np.array([22, 14, 13.5]) * 25.4, atol=0.5)
