"""What is shown of a number: it stays with its unit at a line's end."""

import pytest
from django.template import Context, Template

TIED = Template("{% load salon_tags %}{{ words|tied }}")


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("covers 84 %, 6.4 cm² stay", "covers 84~%, 6.4~cm² stay"),
        ("16.5 cm × 14.0 cm", "16.5~cm × 14.0~cm"),
        ("hazel, 300 mm", "hazel, 300~mm"),
        ("up to 160 °C for 15 minutes", "up to 160~°C for 15~minutes"),
        ("close (ΔE00 2.7, give or take 0.8)", "close (ΔE00~2.7, give or take 0.8)"),
    ],
)
def test_a_number_is_tied_to_its_unit(words, shown):
    assert TIED.render(Context({"words": words})) == shown.replace("~", "\N{NO-BREAK SPACE}")


@pytest.mark.parametrize("words", ["4 clips", "2 grey strands", "5 mmm", "no number %", ""])
def test_other_words_stay_as_they_are(words):
    assert TIED.render(Context({"words": words})) == words


def test_what_was_typed_is_still_escaped():
    assert TIED.render(Context({"words": "<b>5 %"})) == "&lt;b&gt;5\N{NO-BREAK SPACE}%"
