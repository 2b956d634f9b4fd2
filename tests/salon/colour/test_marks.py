"""Marks on a photo: the JSON that travels, there and back, and every way it may be wrong."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.marks import (
    LARGEST_RADIUS,
    LONGEST_TEXT,
    CardMark,
    ChartMark,
    Marks,
    MarksError,
    Spot,
    marks_from_json,
    marks_to_json,
)

REGIONS = ("root", "mid", "ends")
shares = st.floats(0, 1)
placed = st.builds(Spot, shares, shares, st.floats(0, LARGEST_RADIUS, exclude_min=True))
corners = st.tuples(*[st.tuples(shares, shares)] * 4)
references = st.none() | st.builds(CardMark, placed) | st.builds(ChartMark, corners)
all_spots = st.dictionaries(st.sampled_from(REGIONS), st.lists(placed, min_size=1, max_size=3).map(tuple))


@given(st.builds(Marks, references, all_spots))
def test_marks_survive_the_way_over_json_and_back(marks):
    assert marks_from_json(marks_to_json(marks), regions=REGIONS) == marks


def test_the_json_is_the_one_that_the_page_writes():
    marks = Marks(CardMark(Spot(0.25, 0.5, 0.02)), {"root": (Spot(0.5, 0.75, 0.01),)})
    assert json.loads(marks_to_json(marks)) == {
        "reference": {"kind": "card", "x": 0.25, "y": 0.5, "radius": 0.02},
        "spots": {"root": [{"x": 0.5, "y": 0.75, "radius": 0.01}]},
    }
    chart = Marks(ChartMark(((0, 0), (1, 0), (1, 1), (0, 1))))
    assert json.loads(marks_to_json(chart))["reference"] == {
        "kind": "chart",
        "corners": [[0, 0], [1, 0], [1, 1], [0, 1]],
    }


def test_a_region_without_a_spot_is_left_out():
    assert marks_from_json('{"reference": null, "spots": {"root": []}}', regions=REGIONS) == Marks(None, {})


SPOT = '{"x": 0.5, "y": 0.5, "radius": 0.02}'


def of_root(*spots):
    return f'{{"reference": null, "spots": {{"root": [{", ".join(spots)}]}}}}'


def of_reference(reference):
    return f'{{"reference": {reference}, "spots": {{}}}}'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "did not arrive whole"),
        ("{", "did not arrive whole"),
        ("[" * 9_000, "did not arrive whole"),
        ("9" * 9_000, "did not arrive whole"),
        ("[]", "The marks must be an object"),
        ("null", "The marks must be an object"),
        ("{}", "The marks must have reference, spots: got nothing"),
        ('{"reference": null, "spots": {}, "more": 1}', "got more, reference, spots"),
        ('{"reference": null, "spots": []}', "The spots must be an object"),
        ('{"reference": null, "spots": {"brow": []}}', "no region 'brow' on this photo; there are ends, mid, root"),
        ('{"reference": null, "spots": {"root": 3}}', "The spots of root are a list: got int"),
        (of_root("3"), "A spot of root must be an object"),
        (of_root('{"x": 0.5, "y": 0.5}'), "must have radius, x, y: got x, y"),
        (of_root('{"x": "0.5", "y": 0.5, "radius": 0.02}'), "x must be a number: got str"),
        (of_root('{"x": true, "y": 0.5, "radius": 0.02}'), "x must be a number: got bool"),
        (of_root('{"x": NaN, "y": 0.5, "radius": 0.02}'), "must be a finite number: got NaN"),
        (of_root('{"x": 0.5, "y": -Infinity, "radius": 0.02}'), "must be a finite number: got -Infinity"),
        (of_root('{"x": 0.5, "y": 1e999, "radius": 0.02}'), "y is a share of the photo, 0 to 1"),
        (of_root('{"x": 1.01, "y": 0.5, "radius": 0.02}'), "x is a share of the photo, 0 to 1: got 1.01"),
        (of_root('{"x": 1' + "0" * 400 + ', "y": 0.5, "radius": 0.02}'), "x is far outside the photo"),
        (of_root('{"x": 0.5, "y": 0.5, "radius": 0}'), "radius is a share of the photo's longer side"),
        (of_root('{"x": 0.5, "y": 0.5, "radius": 0.3}'), "above 0 and up to 0.25: got 0.3"),
        (of_root(SPOT, SPOT, SPOT, SPOT), "up to 3 spots: root has 4"),
        (of_reference("3"), "The reference must be an object"),
        (of_reference('{"kind": "sun"}'), "a card or a chart: got 'sun'"),
        (of_reference('{"kind": "card", "x": 0.5, "y": 0.5}'), "The card must have kind, radius, x, y"),
        (of_reference('{"kind": "chart", "corners": 4}'), "a list of four"),
        (of_reference('{"kind": "chart", "corners": [1, 2, 3, 4]}'), "a pair of numbers"),
        (of_reference('{"kind": "chart", "corners": [[0, 0], [1, 0], [1, 1]]}'), "four corner patches: got 3"),
        (of_reference('{"kind": "chart", "corners": [[0, 0], [1, 0], [1, 1], [0, 2]]}'), "y is a share"),
        (of_reference('{"kind": "chart", "corners": [[0, 0], [1, 0], [1, 1], [0, null]]}'), "y must be a number"),
        (" " * (LONGEST_TEXT + 1), "at most 10,000 characters"),
    ],
)
def test_anything_else_is_refused_with_a_sentence(text, words):
    with pytest.raises(MarksError) as refusal:
        marks_from_json(text, regions=REGIONS)
    assert words in str(refusal.value)


@given(st.text(max_size=40) | st.recursive(st.none() | st.floats() | st.text(), st.lists).map(json.dumps))
def test_no_text_breaks_the_reading_of_marks(text):
    with pytest.raises(MarksError):
        marks_from_json(text, regions=REGIONS)
