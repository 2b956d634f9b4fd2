"""Lengths as they are typed and printed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.common.lengths import MM_PER_INCH, format_length, parse_length_mm


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("34 cm", 340),
        ("34cm", 340),
        ("34,5 cm", 345),
        ("340 mm", 340),
        ("13.5 in", 342.9),
        ("13 1/2 in", 342.9),
        ("13-1/2 inches", 342.9),
        ('13 1/2"', 342.9),
        ("13 1/2″", 342.9),
        ("13½”", 342.9),
        ("13½ in.", 342.9),
        ("⅛ in", 3.175),
        (".5 in", 12.7),
        ("1/2 in", 12.7),
        ("13 1⁄2 in", 342.9),
        ("0 cm", 0),
    ],
)
def test_a_length_is_read_in_every_way_it_is_written(text, length_mm):
    assert parse_length_mm(text) == pytest.approx(length_mm, abs=1e-6)


def test_a_number_alone_is_in_the_unit_of_the_form():
    assert parse_length_mm("22", "in") == pytest.approx(558.8)  # the average head of 22 in (common practice)
    assert parse_length_mm("22", "cm") == 220


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "A length is missing"),
        ("long", "“long” is not a length"),
        ("12 3", "is not a length"),
        ("13.5 1/2 in", "is not a length"),
        ("-3 cm", "can't be negative"),
        ("−3 cm", "can't be negative"),
        ("1/0 in", "divides by nothing"),
        ("13 5/4 in", "not smaller than one"),
        ("5 ft", "“ft” is not a unit"),
        ("1e5 mm", "is not a length"),
        ("nan", "is not a length"),
        ("20 m", "“m” is not a unit"),
        ("2000 cm", "longer than ten metres"),
        ("9" * 5000, "too long for a length"),
    ],
)
def test_what_is_no_length_is_refused_with_what_would_be_right(text, words):
    with pytest.raises(ValueError, match="Write 34 cm or 13 1/2 in") as refusal:
        parse_length_mm(text)
    assert words in str(refusal.value)


@given(st.floats(0, 9_999))
def test_a_printed_length_reads_back_within_its_rounding(length_mm):
    assert parse_length_mm(format_length(length_mm, "cm")) == pytest.approx(length_mm, abs=0.5 + 1e-6)
    assert parse_length_mm(format_length(length_mm, "in")) == pytest.approx(length_mm, abs=MM_PER_INCH / 16 + 1e-6)


@given(st.integers(0, 8 * 300))
def test_every_eighth_of_an_inch_reads_back_as_itself(eighths):
    printed = format_length(eighths / 8 * MM_PER_INCH, "in")
    assert parse_length_mm(printed) == pytest.approx(eighths / 8 * MM_PER_INCH, abs=1e-6)


@given(st.text(max_size=50))
def test_any_text_gives_a_length_or_a_sentence(text):
    try:
        length_mm = parse_length_mm(text)
    except ValueError as error:
        refusal = str(error)
    else:
        refusal = ""
    assert refusal.endswith("Write 34 cm or 13 1/2 in.") or 0 <= length_mm <= 10_000


def test_lengths_are_printed_as_the_trade_writes_them():
    assert format_length(342.9, "in") == "13½ in"
    assert format_length(3, "in") == "⅛ in"
    assert format_length(0, "in") == "0 in"
    assert format_length(342.9, "cm") == "34.3 cm"
    assert format_length(-12.7, "in") == "−½ in"
    assert format_length(-0.1, "cm") == "0.0 cm"
