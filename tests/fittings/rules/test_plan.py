"""A plan: what it takes as known, what it refuses, and what it works out."""

import pytest

from fittings.rules.engine import Plan, PlanError
from fittings.rules.plan import texture_steps, weakest_fibre


def test_nothing_recorded_is_unknown_and_never_no():
    plan = Plan({"hair_is_wet": None, "fibre": "", "near_base": False})
    assert dict(plan) == {"near_base": False}


def test_the_words_of_the_records_are_taken_as_they_are():
    plan = Plan({"worn_to_bed": "yes", "colourable": "no", "reactions": ["latex"], "planned_fixing": "tape"})
    assert plan["worn_to_bed"] is True
    assert plan["colourable"] is False
    assert plan["reactions"] == {"latex"}
    assert plan["planned_fixing"] == {"tape"}


def test_none_said_of_a_set_is_an_answer():
    assert Plan({"reactions": "none"})["reactions"] == frozenset()
    assert Plan({"reactions": []})["reactions"] == frozenset()
    assert "reactions" not in Plan({"reactions": None})


def test_a_plan_cannot_be_changed():
    with pytest.raises(TypeError):
        Plan({"fibre": "human"})["fibre"] = "standard"


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"fiber": "human"}, "unknown fact 'fiber'; known facts: adhesive_contains, adhesive_test_read, "),
        ({"fibre": "silk"}, "'fibre' can't be 'silk'; it can be: human, heat_friendly, standard, blend"),
        ({"fibre": True}, "'fibre' can't be True"),
        ({"fibre": ["human"]}, r"'fibre' can't be \['human'\]"),
        ({"tool_c": "hot"}, "'tool_c' is a number, got 'hot'"),
        ({"tool_c": True}, "'tool_c' is a number, got True"),
        ({"tool_c": float("nan")}, "'tool_c' is a number, got nan"),
        ({"tool_c": 900}, "'tool_c' lies between 20 and 300 °C, got 900"),
        ({"cover": 97}, "'cover' lies between 0 and 1, got 97"),
        ({"hair_is_wet": 1}, "'hair_is_wet' is yes or no"),
        ({"hair_is_wet": "maybe"}, r"'hair_is_wet' is yes or no \(true or false\), got 'maybe'"),
        ({"reactions": ["latex", "wool"]}, "'reactions' can't be 'wool'; it can be: hair dye, black henna tattoo, "),
        ({"reactions": 3}, "'reactions' is a set of words, got 3"),
        ({"weakest_fibre": "human"}, "'weakest_fibre' is worked out, give fibre and synthetic_part instead"),
    ],
)
def test_what_no_plan_can_say_is_refused_in_words(facts, words):
    with pytest.raises(PlanError, match=words):
        Plan(facts)


def test_a_share_computed_to_a_hair_over_all_is_taken():
    assert Plan({"cover": 1.0000000002})["cover"] >= 1


@pytest.mark.parametrize(
    ("fibre", "part", "weakest"),
    [
        ("human", None, "human"),
        ("standard", None, "standard"),
        ("blend", "heat_friendly", "heat_friendly"),
        ("blend", "standard", "standard"),
        ("blend", None, None),
        (None, "standard", None),
    ],
)
def test_a_blend_takes_the_weakest_of_its_parts(fibre, part, weakest):
    assert weakest_fibre(fibre, part) == weakest
    assert Plan({"fibre": fibre, "synthetic_part": part}).get("weakest_fibre") == weakest


def test_textures_lie_steps_apart_whichever_comes_first():
    assert texture_steps("straight", "coily") == texture_steps("coily", "straight") == 3
    assert texture_steps("wavy", "wavy") == 0
    assert texture_steps("wavy", None) is None


def test_what_to_ask_leads_to_the_facts_one_can_answer():
    assert Plan({}).to_ask("weakest_fibre") == ("fibre",)
    assert Plan({"fibre": "blend"}).to_ask("weakest_fibre") == ("synthetic_part",)
    assert Plan({"fibre": "human"}).to_ask("weakest_fibre") == ()
    assert Plan({"own_curl_pattern": "wavy"}).to_ask("texture_steps") == ("piece_texture",)
    assert Plan({}).to_ask("tool_c") == ("tool_c",)
