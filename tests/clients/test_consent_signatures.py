"""Drawn signatures: which strokes are stored, and how they are drawn again."""

import json
import re

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from clients.models import Consent
from clients.signatures import (
    LONGEST_SENT,
    MOST_POINTS,
    MOST_STROKES,
    PAD_HEIGHT,
    SHORTEST,
    checked_strokes,
    draw_signature,
    read_strokes,
)
from tests.clients.intake_scene import DRAWN
from tests.factories import ConsentFactory

points = st.tuples(st.floats(0, 1), st.floats(0, PAD_HEIGHT)).map(list)
strokes = st.lists(st.lists(points, min_size=1, max_size=20), min_size=1, max_size=10)


def test_what_the_pad_sends_is_what_is_kept():
    assert read_strokes(json.dumps(DRAWN)) == DRAWN


@pytest.mark.parametrize("sent", ["", "  ", "[]"])
def test_an_empty_pad_is_no_signature(sent):
    assert read_strokes(sent) == []


@pytest.mark.parametrize(
    "sent",
    [
        "no",
        "{}",
        "5",
        "null",
        "[5]",
        "[[]]",
        "[[5]]",
        "[[[0.1]]]",
        "[[[0.1, 0.2, 0.3]]]",
        '[[["0.1", "0.2"]]]',
        "[[[true, false]]]",
        "[[[NaN, 0.1]]]",
        "[[[Infinity, 0.1]]]",
        "[[[1e999, 0.1]]]",
        "[[[null, 0.1]]]",
        "[" * 50_000,
        "[[[" + "9" * 6000 + ", 0.1]]]",
    ],
)
def test_what_is_no_list_of_strokes_is_refused_with_what_to_do(sent):
    with pytest.raises(ValidationError, match=r"can't be read\. Clear it and draw it again"):
        read_strokes(sent)


@pytest.mark.parametrize("point", [[-0.001, 0.1], [1.001, 0.1], [0.5, -0.1], [0.5, PAD_HEIGHT + 0.001]])
def test_strokes_lie_on_the_pad(point):
    with pytest.raises(ValidationError, match="runs off the pad"):
        checked_strokes([[[0.1, 0.1], point]])


def test_the_corners_are_on_the_pad():
    assert checked_strokes([[[0, 0], [1, PAD_HEIGHT]]]) == [[[0.0, 0.0], [1.0, PAD_HEIGHT]]]


def test_at_most_so_many_strokes_and_points():
    stroke = [[0.1, 0.1], [0.9, 0.1]]
    assert len(checked_strokes([stroke] * MOST_STROKES)) == MOST_STROKES
    with pytest.raises(ValidationError, match="more than a signature"):
        checked_strokes([stroke] * (MOST_STROKES + 1))
    assert len(checked_strokes([stroke * (MOST_POINTS // 2)])[0]) == MOST_POINTS
    with pytest.raises(ValidationError, match="more than a signature"):
        checked_strokes([[*stroke * (MOST_POINTS // 2), [0.5, 0.1]]])
    with pytest.raises(ValidationError, match="more than a signature"):
        read_strokes(" " * LONGEST_SENT + "[]")


@pytest.mark.parametrize("dot", [[[[0.5, 0.2]]], [[[0.5, 0.2], [0.5 + SHORTEST / 2, 0.2]]]])
def test_a_dot_is_no_signature(dot):
    with pytest.raises(ValidationError, match="only a dot"):
        checked_strokes(dot)


@given(strokes)
def test_what_is_kept_is_kept_again_and_drawn_whole(drawn):
    try:
        kept = checked_strokes(drawn)
    except ValidationError:
        return
    assert read_strokes(json.dumps(kept)) == kept
    lines = re.findall(r'<polyline points="([^"]*)" />', draw_signature(kept, title="Signature"))
    drawn_points = [line.split(", ") for line in lines]
    assert [max(2, len(stroke)) for stroke in kept] == [len(line) for line in drawn_points]
    for stroke, line in zip(kept, drawn_points, strict=True):
        for (x, y), written in zip(stroke, line, strict=False):
            assert [float(number) for number in written.split()] == pytest.approx([x * 1000, y * 1000], abs=0.051)


def test_the_title_of_a_drawing_is_escaped():
    assert "<b>" not in draw_signature(DRAWN, title='Signature of <b>"Ada"</b>')


@pytest.mark.django_db
def test_a_consent_is_drawn_or_typed():
    drawn, typed = ConsentFactory(signature=DRAWN), ConsentFactory()
    assert (drawn.signed_how, drawn.signature, drawn.signed_where) == ("drawn", DRAWN, "desk")
    assert (typed.signed_how, typed.signature) == ("typed", [])
    drawn.full_clean()
    drawn.signed_how = "typed"
    with pytest.raises(ValidationError, match="either drawn or typed"):
        drawn.full_clean()
    with pytest.raises(ValidationError, match="runs off the pad"):
        ConsentFactory(signature=[[[0.1, 0.1], [0.5, 5]]])
    assert Consent.objects.count() == 2
