"""The line picture: its scale, its dates and its intervals."""

from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from fittings.over_time.line_picture import Point, draw_line

SVG = "{http://www.w3.org/2000/svg}"
values = st.floats(0, 700, allow_nan=False)
visits = st.lists(st.tuples(st.integers(0, 4000), values, st.floats(0, 60)), min_size=1, max_size=30)


def drawn(points):
    return ElementTree.fromstring(draw_line(points, title="Visits", unit="%"))  # noqa: S314  # our own


def test_one_visit_is_a_point_in_the_middle():
    picture = drawn([Point(date(2026, 1, 5), 12.0)])
    (point,) = picture.findall(f"{SVG}circle")
    assert float(point.get("cx")) == 194
    assert [text.text for text in picture.findall(f"{SVG}text")][-2:] == ["5 Jan", "2026"]


def test_points_stand_in_step_with_time():
    days = [date(2026, 1, 1), date(2026, 1, 11), date(2026, 4, 11)]
    places = [float(point.get("cx")) for point in drawn([Point(day, 10.0) for day in days]).findall(f"{SVG}circle")]
    assert abs((places[1] - places[0]) * 9 - (places[2] - places[1])) < 0.5


@given(visits)
def test_every_point_and_interval_lies_within_the_frame_and_higher_values_stand_higher(told):
    start = date(2020, 1, 1)
    points = [
        Point(start + timedelta(days=day), value, (max(value - half, 0), value + half))
        for day, value, half in sorted(told)
    ]
    picture = drawn(points)
    heights = [float(point.get("cy")) for point in picture.findall(f"{SVG}circle")]
    assert all(19.9 <= height <= 168.1 for height in heights)
    order = sorted(range(len(points)), key=lambda at: points[at].value)
    assert all(heights[one] >= heights[other] - 0.11 for one, other in pairwise(order))
    shown = [text for text in picture.findall(f"{SVG}text") if text.get("text-anchor") == "middle"]
    assert all(20 <= float(text.get("x")) <= 340 for text in shown)
