"""The engine: unknown facts, what a plan is for, days, units, and when a plan may go ahead."""

from datetime import date

import pytest

from fittings.placement.house_rules import HouseRules
from fittings.rules.engine import NOTHING_PLANNED, Plan, load_rules, may_proceed, open_questions, rule_table

TODAY = date(2026, 11, 26)
BOOK = load_rules()
RATED_IRON = {"planned_heat": "iron", "fibre": "heat_friendly", "rated_c": 150, "tool_c": 140}


def check(facts, **more):
    return BOOK.check(Plan(facts), HouseRules(), on=TODAY, **more)


def by_id(findings):
    return {finding.rule_id: finding for finding in findings}


def written(folder, *entries):
    """A rule book of one file with these entries; each is (since, says) of one and the same rule."""
    text = "".join(
        f'[[rule]]\nid = "hold"\nsince = {since}\nseverity = "stop"\nabout = "piece"\n'
        f'when = [["fibre", "is", "human"]]\n'
        f'says = "{says}"\nbecause = "b"\ninstead = "i"\nsource = "s"\n'
        for since, says in entries
    )
    (folder / "dated.toml").write_text(text)
    return load_rules(folder)


def test_an_unknown_fact_that_decides_a_stop_is_asked_for_and_stops_until_it_is_answered():
    unknown = RATED_IRON | {"tool_c": None}
    asking = by_id(check(unknown, about={"service"}))["heat-rated"]
    assert asking.severity == "stop"
    assert asking.asks == ("tool_c",)
    assert asking.says == "At which temperature will the tool be used?"
    assert asking.questions == (asking.says,)
    assert asking.instead == "Find out and record it; until then this plan can't go ahead."
    assert not may_proceed([asking])
    assert "heat-rated" not in by_id(check(RATED_IRON))
    assert not by_id(check(RATED_IRON | {"tool_c": 160}))["heat-rated"].asks


def test_a_fact_that_can_no_longer_change_the_answer_is_not_asked_for():
    assert "heat-rated" not in by_id(check({"planned_heat": "iron", "fibre": "standard"}))
    assert "heat-wet-hair" not in by_id(check({"planned_heat": "hot air", "fibre": "human"}))


def test_a_caution_is_silent_while_unknown_unless_its_file_says_it_asks():
    assert "heat-near-base" not in by_id(check({"planned_heat": "iron"}))
    chemo = by_id(check({}, about={"client"}))["chemo"]
    assert (chemo.severity, chemo.asks) == ("caution", ("chemotherapy",))
    assert chemo.instead == "Find out and record it."


def test_a_caution_that_might_be_a_stop_has_a_stop_beside_it_that_asks():
    lightening = {"planned_colour": "lightener", "colour_on": "piece detached", "fibre": "human"}
    assert by_id(check(lightening))["colour-lift-again"].asks == ("unit_lightened_before",)
    assert by_id(check({"clips_total": 5, "clips_holding": 2}))["clip-hold-few"].asks == ("tape_area_count",)


def test_clips_are_either_cautioned_about_or_stopped_never_both():
    for tape, rule_id in ((0, "clip-hold-few"), (1, "clip-hold")):
        found = by_id(check({"clips_total": 5, "clips_holding": 2, "tape_area_count": tape}))
        assert {"clip-hold", "clip-hold-few"} & set(found) == {rule_id}


def test_a_blend_is_held_to_its_synthetic_part_and_asked_for_it():
    assert by_id(check({"planned_heat": "iron", "fibre": "blend"}))["heat-standard"].asks == ("synthetic_part",)
    assert by_id(check({"planned_heat": "iron"}))["heat-standard"].asks == ("fibre",)
    assert not by_id(check({"planned_heat": "iron", "fibre": "blend", "synthetic_part": "standard"}))[
        "heat-standard"
    ].asks


def test_one_of_two_is_enough_and_only_both_unknown_ask():
    warm = {"planned_heat": "iron", "fibre": "human", "tool_c": 170}
    assert "heat-hair-warm-coloured" in by_id(check(warm | {"unit_lightened_before": True}))
    assert "heat-hair-warm-coloured" not in by_id(check(warm | {"unit_lightened_before": False}))
    assert "heat-hair-warm-coloured" not in by_id(check(warm))  # a caution, so it does not ask


def test_what_an_adhesive_contains_is_not_asked_for_a_client_who_reacts_to_none_of_it():
    taped = {"planned_fixing": ["tape"], "adhesive_test_read": True, "scalp_condition": "sound"}
    assert by_id(check(taped))["adhesive-allergy"].asks == ("adhesive_contains", "reactions")
    assert by_id(check(taped | {"reactions": ["latex"]}))["adhesive-allergy"].asks == ("adhesive_contains",)
    assert "adhesive-allergy" not in by_id(check(taped | {"reactions": ["hair dye", "nickel"]}))
    assert "adhesive-allergy" not in by_id(check(taped | {"reactions": []}))
    assert "adhesive-allergy" not in by_id(check(taped | {"adhesive_contains": []}))


def test_a_maker_who_does_not_say_is_answered_by_a_strand_test_and_never_asked_again():
    deposit = {"planned_colour": "deposit", "colour_on": "piece detached", "fibre": "human", "unit_strand_test": True}
    found = by_id(check(NOTHING_PLANNED | deposit, about={"service"}))
    assert "colour-not-stated" not in found
    assert "colour-not-colourable" not in found


def test_a_piece_without_planned_services_is_asked_nothing_about_tools():
    found = check({"fibre": "heat_friendly"}, about={"piece", "placement"})
    assert {finding.about for finding in found} <= {"piece", "placement"}
    assert "tool_c" not in open_questions(found)
    assert "planned_heat" not in open_questions(found)


def test_a_plan_that_does_nothing_is_asked_nothing_about_services():
    assert check(NOTHING_PLANNED, about={"service"}) == ()
    assert may_proceed(check(NOTHING_PLANNED, about={"service"}))


def test_one_planned_service_is_asked_about_itself_alone():
    steaming = NOTHING_PLANNED | {"planned_steam": True, "fibre": "standard"}
    assert set(by_id(check(steaming, about={"service"}))) == {"steam-standard"}


def test_a_plan_about_something_nobody_knows_is_refused():
    with pytest.raises(ValueError, match="a plan can't be about 'weather'; it can be about: piece, placement"):
        check({}, about={"weather"})


def test_stops_come_first_and_notes_last():
    worn = {"fibre": "standard", "planned_heat": "iron", "near_base": True, "has_metal_clips": True}
    order = [finding.severity for finding in check(worn)]
    assert order == sorted(order, key=["stop", "caution", "note"].index)
    assert len(set(order)) == 3


def test_a_stop_holds_until_an_owner_lets_that_very_rule_pass():
    findings = check({"planned_heat": "iron", "fibre": "standard"}, about={"service"})
    stops = {finding.rule_id for finding in findings if finding.severity == "stop"}
    assert "heat-standard" in stops
    assert not may_proceed(findings)
    assert not may_proceed(findings, overridden=stops - {"heat-standard"})
    assert may_proceed(findings, overridden=stops)


def test_cautions_and_notes_let_a_plan_go_ahead():
    findings = check(NOTHING_PLANNED | {"planned_steam": True, "fibre": "standard"}, about={"service", "piece"})
    assert {finding.severity for finding in findings} == {"caution", "note"}
    assert may_proceed(findings)


def test_each_open_question_is_listed_once():
    found = check({"planned_heat": "iron"}, about={"service"})
    questions = open_questions(found)
    assert questions["fibre"] == "What fibre is the piece made of?"
    assert len(set(questions.values())) == len(questions)


def test_an_old_visit_keeps_the_old_advice(tmp_path):
    book = written(tmp_path, ("2026-03-01", "new"), ("2025-01-01", "old"))
    says = {
        day: [finding.says for finding in book.check(Plan({"fibre": "human"}), {}, on=day)]
        for day in (date(2024, 12, 31), date(2025, 1, 1), date(2026, 2, 28), date(2026, 3, 1), date(2030, 1, 1))
    }
    assert list(says.values()) == [[], ["old"], ["old"], ["new"], ["new"]]
    (finding,) = book.check(Plan({"fibre": "human"}), {}, on=date(2026, 4, 1))
    assert finding.since == date(2026, 3, 1)


def test_numbers_are_written_in_the_readers_units():
    found = by_id(check(RATED_IRON | {"tool_c": 160}, units="imperial"))
    assert found["heat-rated"].says == "The tool is planned at 320 °F; the maker rates this fibre up to 302 °F."
    short = {"margin_mm": 6.35}
    assert by_id(check(short, units="imperial"))["cover-margin"].says == (
        "The base reaches ¼ in past the thinning, less than the usual ½ in."
    )
    assert "0.6 cm" in by_id(check(short))["cover-margin"].says


def test_the_page_of_rules_shows_every_rule_with_names_and_numbers_filled_in():
    rows = rule_table(BOOK, {"hair_warm_c": 175}, on=TODAY)
    assert len(rows) == len(BOOK.in_force(TODAY)) < len(BOOK.rules)
    rows_by_id = {row.id: row for row in rows}
    assert rows_by_id["heat-rated"].says == (
        "The tool is planned at [the temperature of the tool]; the maker rates this fibre up to "
        "[the maker's rated temperature]."
    )
    assert "175 °C" in rows_by_id["heat-hair-warm"].instead
    assert rows_by_id["mri"].printed
    assert rows_by_id["mri"].subject == "fixing"
    assert rule_table(BOOK, {}, on=date(2000, 1, 1)) == ()
