"""The colours of an assessment read back: how each was read, the strands, and the grey worked out from them."""

import pytest

from clients.models import ColourReading
from fittings.consult.reading_back import read_back, reading_in_words
from tests.fittings.colours import read_by_card
from tests.fittings.visits import BROWN, signed_off_visit

pytestmark = pytest.mark.django_db
STRANDS = {"pigment": (18.0, 5.0, 6.0), "grey": (75.0, 1.0, 6.0)}


def own_hair(fitting):
    return next(one for one in read_back(fitting.assessment, unit="cm", currency="GBP") if one.key == "own-hair")


def facts(fitting):
    return {fact.label: fact for fact in own_hair(fitting).facts}


@pytest.mark.parametrize(("method", "how"), [("card", "photo with the grey card"), ("chart", "photo with the chart")])
def test_a_reading_from_a_photo_says_so_with_its_doubt(method, how):
    fitting = read_by_card(signed_off_visit(), doubt=2.25, method=method)
    roots = facts(fitting)["Roots"]
    assert roots.words == f"L* 40.3, a* 6.1, b* 10.1; {how}; give or take ΔE00 2.2"
    assert roots.swatch.startswith("#")


def test_an_instruments_negative_numbers_are_read_back_with_a_minus():
    reading = ColourReading(method="instrument", lightness=30.0, a_star=-1.2, b_star=4.0, doubt=0.6)
    assert reading_in_words(reading) == "L* 30.0, a* −1.2, b* 4.0; instrument; give or take ΔE00 0.6"


def test_the_strands_and_the_grey_worked_out_from_them_are_read_back():
    found = facts(read_by_card(signed_off_visit(), BROWN | STRANDS))
    assert found["A strand with its own colour"].swatch
    assert found["A grey strand"].words.startswith("L* 80.0, a* 1.1, b* 7.0; photo with the grey card")
    assert found["Grey, measured at the roots"].words.startswith("about ")
    assert "% grey (" in found["Grey, measured at the roots"].words


def test_grey_that_is_measured_is_not_asked_about():
    question = "How much of it is grey?"
    assert question in own_hair(signed_off_visit()).questions
    assert question not in own_hair(read_by_card(signed_off_visit(), BROWN | STRANDS)).questions
    one_strand = read_by_card(signed_off_visit(), BROWN | {"grey": STRANDS["grey"]})
    assert question in own_hair(one_strand).questions
    assert "it takes the roots" in facts(one_strand)["Grey, measured at the roots"].words


def test_without_a_strand_nothing_is_said_of_grey():
    assert not any(label.startswith("Grey") for label in facts(signed_off_visit()))
