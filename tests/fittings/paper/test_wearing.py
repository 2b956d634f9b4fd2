"""How to wear a piece, worked out from what it is: above all, never more heat than it stands."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.house_numbers import start_numbers
from fittings.paper.findings_told import instructions_in
from fittings.paper.salon_words import SalonWords
from fittings.paper.wearing import WornPiece, hottest_c, instructions
from fittings.rules.engine import Plan, load_rules

WORDS = SalonWords("cm", "C", ZoneInfo("UTC"))
RULES = load_rules()
HUMAN = WornPiece(
    name="First piece",
    fibre="human",
    synthetic_part="",
    rated_c=None,
    curl_set_c=None,
    is_coloured=False,
    front_edge="plain",
    is_cap=False,
    fixing=frozenset({"clips"}),
    set_back_mm=13,
    is_turned=False,
    numbers=start_numbers(),
    wash_every_wears=8,
)
STANDARD = replace(HUMAN, fibre="standard")
HEAT_FRIENDLY = replace(HUMAN, fibre="heat_friendly", rated_c=150.0)


def said(piece, heading, words=WORDS, *others):
    return next(" ".join(one.sentences) for one in instructions([piece, *others], words) if one.heading == heading)


@pytest.mark.parametrize(
    ("piece", "limit"),
    [
        (STANDARD, None),
        (HEAT_FRIENDLY, 150),
        (replace(HEAT_FRIENDLY, rated_c=None), None),
        (HUMAN, 180),
        (replace(HUMAN, is_coloured=True), 160),
        (replace(HUMAN, fibre="blend", synthetic_part="standard"), None),
        (replace(HUMAN, fibre="blend", synthetic_part="heat_friendly"), None),
        (replace(HUMAN, fibre="blend", synthetic_part="heat_friendly", rated_c=150), 150),
        (replace(HUMAN, fibre="blend", synthetic_part="heat_friendly", rated_c=200), 180),
    ],
)
def test_no_piece_is_allowed_more_heat_than_its_weaker_part_stands(piece, limit):
    assert hottest_c(piece) == limit


@given(
    fibre=st.sampled_from(["human", "heat_friendly", "standard", "blend"]),
    synthetic_part=st.sampled_from(["heat_friendly", "standard"]),
    rated_c=st.none() | st.integers(60, 230),
    is_coloured=st.booleans(),
    tool=st.sampled_from(["iron", "tong", "hot air", "hot rollers"]),
)
def test_the_rules_stop_no_tool_as_hot_as_the_paper_allows(fibre, synthetic_part, rated_c, is_coloured, tool):
    part = synthetic_part if fibre == "blend" else ""
    rated = rated_c if "heat_friendly" in (fibre, part) else None
    piece = replace(HUMAN, fibre=fibre, synthetic_part=part, rated_c=rated, is_coloured=is_coloured)
    limit = hottest_c(piece)
    if limit is None:
        return
    facts = {
        "fibre": fibre,
        "synthetic_part": part or None,
        "rated_c": rated,
        "planned_heat": tool,
        "tool_c": limit,
        "hair_is_wet": False,
        "unit_coloured": is_coloured,
        "flammable_remover_wet": False,
    }
    findings = RULES.check(Plan(facts), start_numbers(), on=RULES.rules[0].since, about=("service",))
    assert not [one for one in findings if one.severity == "stop" and one.rule_id.startswith("heat")]


def test_standard_fibre_is_told_no_heat_and_no_tool_temperature():
    heat = said(STANDARD, "Heat")
    assert heat.startswith("No heat at all")
    assert "°" not in heat


def test_a_heat_friendly_fibre_without_a_figure_gets_none():
    heat = said(replace(HEAT_FRIENDLY, rated_c=None), "Heat")
    assert heat.startswith("No heat:")
    assert "°" not in heat


def test_heat_is_for_dry_hair_and_curls_keep_their_own_limit():
    assert "completely dry" in said(HUMAN, "Heat")
    assert "under 180 °C" in said(HUMAN, "Heat")
    assert "never above 150 °C" in said(HEAT_FRIENDLY, "Heat")
    assert "Above 110 °C its own curl changes for good." in said(replace(HEAT_FRIENDLY, curl_set_c=110), "Heat")
    assert "curl" not in said(replace(HEAT_FRIENDLY, curl_set_c=170), "Heat")


def test_a_limit_is_rounded_down_in_fahrenheit():
    fahrenheit = SalonWords("in", "F", ZoneInfo("UTC"))
    assert fahrenheit.temperature_at_most(180) == "356 °F"
    assert fahrenheit.temperature_at_most(157) == "314 °F"
    assert WORDS.temperature_at_most(157.9) == "157 °C"


def test_clips_tape_and_caps_are_put_on_and_taken_off_their_own_way():
    assert "Open every clip" in said(HUMAN, "Putting it on")
    taped = replace(HUMAN, fixing=frozenset({"tape"}))
    assert "clip" not in said(taped, "Putting it on")
    assert "skin test" in said(taped, "Putting it on")
    assert "remover" in said(taped, "Taking it off")
    assert "No flame" in said(taped, "Taking it off")
    cap = replace(HUMAN, fixing=frozenset(), is_cap=True)
    assert "draw the cap down" in said(cap, "Putting it on")
    for piece in (HUMAN, taped, cap):
        assert "before you sleep" in said(piece, "Taking it off")


def test_lace_is_never_pulled_at():
    assert "never pull at it" in said(replace(HUMAN, front_edge="lace"), "Putting it on")
    assert "Lace" not in said(HUMAN, "Putting it on")


def test_the_front_edge_is_told_in_the_salons_units():
    assert "1.3 cm behind your front hairline" in said(HUMAN, "Putting it on")
    assert "at your front hairline" in said(replace(HUMAN, set_back_mm=0), "Putting it on")
    assert "½ in behind" in said(HUMAN, "Putting it on", SalonWords("in", "F", ZoneInfo("UTC")))
    assert "turned back to front" in said(replace(HUMAN, is_turned=True), "Putting it on")


def test_synthetic_fibre_is_washed_cool_and_brushed_dry():
    assert "Cool water" in said(STANDARD, "Washing")
    assert "Brush it only when it is dry" in said(STANDARD, "Washing")
    assert "Lukewarm" in said(HUMAN, "Washing")


def test_a_pair_says_what_both_share_once_and_the_rest_by_piece():
    second = replace(STANDARD, name="Second piece")
    heat = said(HUMAN, "Heat", WORDS, second)
    assert "First piece: Only on completely dry hair" in heat
    assert "Second piece: No heat at all" in heat
    keeping = said(HUMAN, "Keeping it", WORDS, second)
    assert "piece:" not in keeping
    assert keeping.count("Keep it on a stand") == 1


def test_what_the_rules_say_stands_where_it_belongs():
    metal = replace(HUMAN, own_rules={"scan": ("Take it off before an MRI scan.",), "heat": ("Mind the oven.",)})
    assert said(metal, "Before an MRI scan") == "Take it off before an MRI scan."
    assert said(metal, "Heat").endswith("Mind the oven.")
    assert "Before an MRI scan" not in {one.heading for one in instructions([HUMAN], WORDS)}


def test_what_a_rule_asks_of_the_stylist_is_not_asked_of_the_client():
    ears = {"rule_id": "ears", "says": "Wear the hair over the ears.", "instead": "Cut the sides."}
    lace = {"rule_id": "lace-own-hair", "says": "Brush own hair back.", "instead": "Pin it."}
    assert instructions_in([ears, lace]) == {
        "putting on": ("Wear the hair over the ears.", "Brush own hair back.", "Pin it.")
    }


def test_nothing_worn_needs_no_instructions():
    assert instructions([], WORDS) == ()
