"""What the fields of the steps read: lengths in any unit, money, whole numbers, and texts that were not changed."""

from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now
from hypothesis import given
from hypothesis import strategies as st

from clients.models import Assessment
from fittings.consult.forms import TapesForm
from salon.common.form_fields import LengthField, MoneyField, WholeField, in_reader_units, unchanged

EIGHTHS = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}
SIGNS = {0: "", 1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}


def tapes_form(unit="cm", stored=None, **typed):
    assessment = Assessment(started_at=now(), **(stored or {}))
    return TapesForm({"revision": "0", "base": "", **typed}, assessment=assessment, unit=unit, currency="GBP")


def circumference(text, unit="cm"):
    form = tapes_form(unit, circumference_mm=text)
    assert form.is_valid(), form.errors
    return form.cleaned_data["circumference_mm"]


@given(tenths=st.integers(4000, 7500), unit=st.sampled_from(["cm", "in"]), comma=st.booleans())
def test_centimetres_are_read_whatever_the_reader_measures_in(tenths, unit, comma):
    text = f"{tenths / 100:.2f} cm"
    assert circumference(text.replace(".", ",") if comma else text, unit) == pytest.approx(tenths / 10, abs=0.051)


@given(whole=st.integers(16, 28), eighths=st.integers(0, 7), bare=st.booleans(), signs=st.booleans())
def test_inches_and_eighths_are_read_with_the_unit_or_without_it(whole, eighths, bare, signs):
    part = SIGNS[eighths] if signs else f" {EIGHTHS[eighths]}"
    text = f"{whole}{part}".strip()
    expected_mm = float((whole + Fraction(eighths, 8)) * Fraction(254, 10))  # the inch is 25.4 mm, exactly
    found = circumference(text, "in") if bare else circumference(f"{text} in", "cm")
    assert found == pytest.approx(expected_mm, abs=0.051)


@given(st.text(max_size=60))
def test_whatever_is_typed_gives_a_length_or_a_sentence(text):
    form = tapes_form(circumference_mm=text, front_to_nape_mm=text, ear_to_ear_mm=text)
    if not form.is_valid():
        assert all(sentence.strip() for sentences in form.errors.values() for sentence in sentences)
    else:
        length_mm = form.cleaned_data["circumference_mm"]
        assert length_mm is None or 400 <= length_mm <= 750


@given(tenths=st.integers(4000, 7500), unit=st.sampled_from(["cm", "in"]))
def test_a_length_sent_back_as_it_was_shown_stays_exactly_what_it_was(tenths, unit):
    stored = {"circumference_mm": tenths / 10}
    shown = tapes_form(unit, stored)["circumference_mm"].initial
    text = LengthField(low_mm=0, high_mm=1, noun="").prepare_value(shown) if unit == "cm" else None
    field = tapes_form(unit, stored).fields["circumference_mm"]
    form = tapes_form(unit, stored, circumference_mm=text or field.prepare_value(shown))
    assert form.is_valid(), form.errors
    assert form.cleaned_data["circumference_mm"] == tenths / 10


def test_an_empty_tape_is_not_taken():
    assert circumference("   ") is None


def test_a_tape_of_another_unit_is_refused_in_the_readers_own():
    form = tapes_form("in", circumference_mm="56")
    assert not form.is_valid()
    assert form.errors["circumference_mm"] == [
        "“56” can't be a circumference: it lies between 15¾ in and 29½ in. Take it again."
    ]


def test_money_is_read_in_the_salons_currency():
    field = MoneyField(label="Up to")
    assert (field.clean("£1,250"), field.clean(""), field.prepare_value(125000)) == (125000, None, "£1,250.00")
    with pytest.raises(ValidationError, match="currency used here"):
        field.clean("$1,250")
    with pytest.raises(ValidationError, match="more than a piece ever costs"):
        field.clean("99,999,999.00")


@pytest.mark.parametrize("typed", ["101", "-1", "half", "12.5", "9" * 400])
def test_a_whole_number_says_what_would_be_right(typed):
    with pytest.raises(ValidationError, match="Write a whole number from 0 to 100, or leave it empty"):
        WholeField(low=0, high=100).clean(typed)


def test_a_text_is_unchanged_when_it_is_the_one_shown():
    field = LengthField(low_mm=0, high_mm=900, noun="a length")
    assert unchanged(field, 342.9, " 34.3 cm ")
    assert unchanged(field, None, "")
    assert not unchanged(field, 342.9, "34.4 cm")


def test_millimetres_of_a_sentence_are_told_in_the_readers_unit():
    sentence = "The ear to ear tape is out of keeping: take it again (about 343 mm would go with them)."
    assert "about 13½ in would" in in_reader_units(sentence, "in")
    assert "about 34.3 cm would" in in_reader_units(sentence, "cm")
