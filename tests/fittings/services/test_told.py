"""What was used and where is said in one place, in the reader's units, and nothing odd breaks it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.models import Service
from fittings.services.details import DETAILS, WrongDetails, read_details
from fittings.services.told import NOT_READ, told


def says(kind, details=None, facts=None, **reader):
    service = Service(kind=kind, details=details or {}, facts=facts or {})
    return dict(told(service, **reader))


def test_lengths_and_temperatures_are_in_the_readers_units():
    heat = {"planned_heat": "tong", "tool_c": 150.0}
    assert says("heat", {"passes": 2}, heat) == {"Tool": "A tong", "Set to": "150 °C", "Passes": "2"}
    assert says("heat", {}, heat, imperial=True)["Set to"] == "302 °F"
    cut = {"taken_off_mm": 25.4, "cut": ["layers", "fringe"]}
    assert says("cut-in", cut) == {"Cut": "Layered, fringe", "Taken off": "2.5 cm"}
    assert says("cut-in", cut, imperial=True)["Taken off"] == "1 in"


def test_a_formula_says_its_parts_its_ratio_and_both_words_for_the_strength():
    lines = [{"product": "Walnut stain", "parts": 1, "lot": "L-1"}, {"product": "Clear", "parts": 0.5}]
    said = says("colour", {"lines": lines, "developer_percent": 6, "developer_parts": 3, "minutes": 1})
    assert said["Formula"] == "Walnut stain, 1 part; Clear, 0.5 parts"
    assert (said["Developer"], said["Ratio"]) == ("6 % (20 vol), 3 parts", "1 : 2")
    assert (said["Lots"], said["Left on for"]) == ("Walnut stain L-1", "1 minute")


def test_without_parts_no_ratio_is_made_up():
    assert "Ratio" not in says("colour", {"lines": [{"product": "Clear"}], "developer_parts": 2})


def test_clips_say_where_they_were_and_are():
    was = {"u_mm": 10, "v_mm": -20, "length_mm": 30}
    moves = [{"was": was, "now": was}, {"was": was, "now": None}, {"was": None, "now": {**was, "v_mm": 0}}]
    assert says("clips", {"moves": moves}) == {
        "Clip 2": "Taken off; it sat 1.0 cm behind the front edge, 2.0 cm to her right",
        "Clip 3": "New, 1.0 cm behind the front edge, on the middle",
    }


def test_details_that_can_not_be_read_are_said_to_be_so():
    assert says("wash", {"zones": 3}) == {"Details": NOT_READ}


plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
names = st.sampled_from(["zones", "lines", "minutes", "moves", "deep_care", "product", "where", "strand_test", "cut"])


@pytest.mark.parametrize("kind", DETAILS)
@given(data=st.dictionaries(names, plain, max_size=3))
def test_any_plain_data_is_read_or_refused(kind, data):
    try:
        details = read_details(kind, data)
    except WrongDetails:
        return
    assert read_details(kind, details.as_kept()) == details
    assert isinstance(told(Service(kind=kind, details=details.as_kept())), list)
    assert read_details(kind, details.to_repeat().as_kept())
