"""Every rule of the rule files: one plan that fires it, one that does not, and what a finding must say."""

import re
import tomllib
from datetime import date
from pathlib import Path

import pytest

from fittings.placement.house_rules import HouseRules
from fittings.rules.conditions import PREDICATES
from fittings.rules.engine import Plan, load_rules
from fittings.rules.facts import FACTS
from fittings.rules.house_numbers import HOUSE_NUMBERS, RULE_NUMBERS

PLANS = tomllib.loads((Path(__file__).parent / "plans.toml").read_text(encoding="utf-8"))
TODAY = date(2026, 11, 26)
BOOK = load_rules()
IN_FORCE = BOOK.in_force(TODAY)

# the severities agreed for the salon, written down a second time so that a slip in a file is noticed
STOPS = {
    "heat-standard", "heat-rated", "heat-unrated", "heat-wet-hair", "heat-hair-high", "heat-flame", "heat-solvent",
    "colour-synthetic", "colour-not-stated", "colour-not-colourable", "colour-lift-again", "colour-strand", "dye-alert",
    "dye-reaction", "dye-age", "clip-hold-few", "front-none", "hairline", "traction", "adhesive-test",
    "adhesive-allergy", "glue-household", "adhesive-skin", "minor", "consent",
}  # fmt: skip  # a list of ids reads better in lines
CAUTIONS = {
    "steam-standard", "heat-set", "heat-hair-warm", "heat-hair-warm-coloured", "heat-near-base", "remover-air",
    "colour-lift", "colour-base", "dye-chemo", "clip-hold", "hairline-blend", "nickel", "sleep", "chemo", "cover-short",
    "colour-band", "length-step", "texture", "refer",
}  # fmt: skip  # the same


# what its maker says is compared by the one rule and asked for by the other
WHERE_THE_MAKER_IS_SILENT = {"heat-rated": "heat-unrated", "colour-not-colourable": "colour-not-stated"}


def findings_of(rule_id, facts):
    """What that rule alone says, questions left out."""
    found = BOOK.check(Plan(facts), HouseRules(), on=TODAY)
    return [finding for finding in found if finding.rule_id == rule_id and not finding.asks]


def test_no_rule_lacks_its_two_plans_and_no_plan_its_rule():
    assert set(PLANS) == {rule.id for rule in IN_FORCE}
    for rule_id, plans in PLANS.items():
        assert set(plans) == {"fires", "silent"}, rule_id


@pytest.mark.parametrize("rule_id", PLANS)
def test_a_rule_fires_on_its_plan(rule_id):
    (finding,) = findings_of(rule_id, PLANS[rule_id]["fires"])
    expected = "stop" if rule_id in STOPS else "caution" if rule_id in CAUTIONS else "note"
    assert finding.severity == expected
    for sentence in (finding.says, finding.because, finding.instead, finding.source):
        assert sentence.strip() == sentence != ""
        assert "{" not in sentence
        assert "not known" not in sentence.replace("are not known to be free", "")
    for sentence in (finding.says, finding.because, finding.instead):
        assert sentence[0].isupper() or sentence[0].isdigit(), sentence
        assert sentence.endswith((".", "!")), sentence


@pytest.mark.parametrize("rule_id", PLANS)
def test_a_rule_is_silent_after_the_change(rule_id):
    assert findings_of(rule_id, PLANS[rule_id]["fires"] | PLANS[rule_id]["silent"]) == []


@pytest.mark.parametrize("rule_id", PLANS)
def test_a_plan_about_something_else_hears_nothing_of_a_rule(rule_id):
    (rule,) = (rule for rule in IN_FORCE if rule.id == rule_id)
    others = {"piece", "placement", "service", "client"} - {rule.about}
    found = BOOK.check(Plan(PLANS[rule_id]["fires"]), HouseRules(), on=TODAY, about=others)
    assert rule_id not in {finding.rule_id for finding in found}


@pytest.mark.parametrize("rule_id", sorted(STOPS))
def test_a_stop_asks_for_each_unknown_fact_that_decides_it_and_never_takes_it_as_no(rule_id):
    """Each fact of the firing plan is left out in turn: the stop stands and asks, unless the rule is about knowing."""
    (rule,) = (rule for rule in IN_FORCE if rule.id == rule_id)
    about_knowing = {one.fact for one in rule.when + rule.any_of if PREDICATES[one.predicate].about_knowing}
    reads = {one.fact for one in rule.when + rule.any_of} | {getattr(one.value, "key", None) for one in rule.when}
    reads |= {given for key in reads & set(FACTS) for given in FACTS[key].worked_out_from}
    fires = PLANS[rule_id]["fires"]
    for fact in fires:
        rest = {key: value for key, value in fires.items() if key != fact}
        found = {one.rule_id: one for one in BOOK.check(Plan(rest), HouseRules(), on=TODAY)}
        if fact in about_knowing or fact not in reads:  # a maker who does not say is answered by a rule of its own
            continue
        asking = found[rule_id]
        assert (asking.severity, asking.asks) == ("stop", (fact,)), (rule_id, fact)
        assert asking.questions == (FACTS[fact].question,)
        assert asking.says == FACTS[fact].question


@pytest.mark.parametrize("rule_id", sorted(STOPS))
def test_a_stop_of_which_nothing_is_known_stands_and_asks(rule_id):
    found = {one.rule_id: one for one in BOOK.check(Plan({}), HouseRules(), on=TODAY)}
    rule_id = WHERE_THE_MAKER_IS_SILENT.get(rule_id, rule_id)
    assert found[rule_id].asks
    assert len(found[rule_id].asks) == len(found[rule_id].questions)


def test_what_stands_on_the_clients_paper_by_itself():
    assert {rule.id for rule in IN_FORCE if rule.printed} == {"mri", "refer"}


def test_every_fact_and_every_house_number_of_the_rules_is_used():
    conditions = [condition for rule in BOOK.rules for condition in rule.when + rule.any_of]
    used = {condition.fact for condition in conditions} | {getattr(c.value, "key", None) for c in conditions}
    used |= {fact for key in used & set(FACTS) for fact in FACTS[key].worked_out_from}
    assert set(FACTS) <= used
    sentences = " ".join(f"{rule.says} {rule.because} {rule.instead} {rule.source}" for rule in BOOK.rules)
    for number in RULE_NUMBERS:
        assert number.key in used or f"{{house:{number.key}}}" in sentences, number.key


def test_house_numbers_start_inside_their_bounds():
    for number in HOUSE_NUMBERS.values():
        number.check(number.start)


@pytest.mark.parametrize("word", ["bald", "suffer", "problem", "patient", "diagnosis"])
def test_the_words_are_kind_and_name_no_illness(word):
    for rule in BOOK.rules:
        for sentence in (rule.says, rule.because, rule.instead):
            assert word not in sentence.lower(), rule.id


@pytest.mark.parametrize(
    ("rule_id", "key", "value"),
    [
        ("heat-hair-warm", "hair_warm_c", 185),
        ("heat-hair-warm-coloured", "coloured_hair_warm_c", 170),
        ("clip-hold-few", "clips_needed", 2),
        ("parting-clip", "parting_clip_mm", 5),
        ("cover-margin", "margin_mm", 10),
        ("length-step", "long_piece_mm", 400),
        ("texture", "texture_steps_apart", 3),
        ("pair", "pair_days_per_week", 6),
    ],
)
def test_the_owner_can_move_a_house_number(rule_id, key, value):
    plan = Plan(PLANS[rule_id]["fires"])
    for house_rules in ({key: value}, type("House", (), {key: value})()):
        assert rule_id not in {f.rule_id for f in BOOK.check(plan, house_rules, on=TODAY) if not f.asks}


@pytest.mark.parametrize(("rule_id", "holding"), [("clip-hold", 3), ("clip-hold", 1), ("clip-hold-few", 1)])
def test_the_sentences_read_well_of_one_clip_as_of_many(rule_id, holding):
    house_rules = {"clips_needed": 1 if rule_id == "clip-hold" else 3}
    plan = Plan(PLANS[rule_id]["fires"] | {"clips_total": 7, "clips_holding": holding})
    (finding,) = [f for f in BOOK.check(plan, house_rules, on=TODAY) if f.rule_id == rule_id]
    assert f"{holding} of 7" in finding.says
    assert not re.search(r"of 7 clips (land|hold)", finding.says)  # which “1 of 7” would not agree with


def test_a_parting_at_the_clip_itself_is_said_without_a_length_of_nothing():
    (finding,) = findings_of("parting-clip", PLANS["parting-clip"]["fires"] | {"parting_to_front_clip_mm": 0})
    assert (
        finding.says == "The parting would lie at the front clip or less than 1.0 cm from it, where the clip can show."
    )


def test_the_sentences_name_what_was_planned():
    (finding,) = findings_of("heat-rated", PLANS["heat-rated"]["fires"])
    assert finding.says == "The tool is planned at 155 °C; the maker rates this fibre up to 150 °C."
    (finding,) = findings_of("refer", PLANS["refer"]["fires"])
    assert finding.says == (
        "Please see a doctor, best a dermatologist, about: hair loss that came suddenly and heavy itching."
    )
    (finding,) = findings_of("cover-short", PLANS["cover-short"]["fires"] | {"cover": 0.999})
    assert finding.says.startswith("Covers 99 % of the thinning")  # never rounded up to all of it
