"""Temperatures as they are typed and printed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.common.temperatures import format_temperature, parse_temperature_c


@pytest.mark.parametrize(
    ("text", "temperature_c"),
    [
        ("180", 180),
        ("180 °C", 180),
        ("180C", 180),
        ("180 degrees", 180),
        ("356 °F", 180),
        ("32 F", 0),  # water freezes at 32 °F and boils at 212 °F (definition of the scale, MEMORY)
        ("212 fahrenheit", 100),
        ("37,5 °C", 37.5),
    ],
)
def test_a_temperature_is_read_in_every_way_it_is_written(text, temperature_c):
    assert parse_temperature_c(text) == pytest.approx(temperature_c)


def test_a_number_alone_is_in_the_unit_of_the_form():
    assert parse_temperature_c("356", "F") == pytest.approx(180)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "A temperature is missing"),
        ("hot", "is not a temperature"),
        ("180 K", "is not a unit of temperature"),
        ("-5 °C", "below freezing"),
        ("450", "Is it 450 °F?"),
        ("900 °C", "hotter than any hair tool"),
        ("1" * 5000, "too long for a temperature"),
    ],
)
def test_what_no_tool_can_be_set_to_is_refused_with_what_would_be_right(text, words):
    with pytest.raises(ValueError, match="Write 180 °C or 356 °F") as refusal:
        parse_temperature_c(text)
    assert words in str(refusal.value)


@given(st.integers(0, 300))
def test_a_whole_degree_reads_back_as_itself(temperature_c):
    assert parse_temperature_c(format_temperature(temperature_c, "C")) == temperature_c
    assert parse_temperature_c(format_temperature(temperature_c, "F")) == pytest.approx(temperature_c, abs=0.5)
