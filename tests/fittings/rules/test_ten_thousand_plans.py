"""Ten thousand made-up plans: none is held up by an unknown fact and silent about which fact.

Whether an unknown fact decides a stop is worked out here a second time, straight from the files, by reading a condition
as true, false or open and a rule as their conjunction; the engine is held against that.
"""

import random
import tomllib
from datetime import date
from pathlib import Path

import pytest

from fittings.rules.conditions import PREDICATES
from fittings.rules.engine import NOTHING_PLANNED, Plan, load_rules, may_proceed, open_questions
from fittings.rules.facts import FACTS
from fittings.rules.house_numbers import HOUSE_NUMBERS

TODAY = date(2026, 11, 26)
BOOK = load_rules()
PLANS, SEED = 10_000, 20261126
GIVEN = {key: fact for key, fact in FACTS.items() if not fact.worked_out_from}
PLANNED = [  # what the kinds of service say by themselves; a plan about a piece alone says none of it
    {},
    NOTHING_PLANNED,
    NOTHING_PLANNED | {"planned_heat": "iron"},
    NOTHING_PLANNED | {"planned_heat": "hot air"},
    NOTHING_PLANNED | {"planned_steam": True},
    NOTHING_PLANNED | {"planned_colour": "oxidative"},
    NOTHING_PLANNED | {"planned_colour": "lightener"},
    NOTHING_PLANNED | {"planned_colour": "deposit", "colour_on": "piece detached"},
    NOTHING_PLANNED | {"planned_fixing": ["tape"]},
    NOTHING_PLANNED | {"planned_fixing": ["clips"]},
    NOTHING_PLANNED | {"flammable_remover_wet": True},
]


def entries_in_force():
    """The entries of the files as they are written, the newest of each id."""
    newest = {}
    folder = Path(load_rules.__code__.co_filename).parent
    for file in sorted(folder.glob("*.toml")):
        for entry in tomllib.loads(file.read_text(encoding="utf-8"))["rule"]:
            if entry["since"] <= TODAY and newest.get(entry["id"], entry)["since"] <= entry["since"]:
                newest[entry["id"]] = entry
    return newest


ENTRIES = entries_in_force()
STOPS = {rule_id: entry for rule_id, entry in ENTRIES.items() if entry["severity"] == "stop"}


def some_value(dice, fact):
    if fact.kind == "yes/no":
        return dice.random() < 0.5
    if fact.kind == "number":
        return round(dice.uniform(fact.low, fact.high), 1)
    words = sorted(fact.values)
    return dice.sample(words, dice.randint(0, len(words))) if fact.kind == "set" else dice.choice(words)


def some_plan(dice):
    """A service of some kind, or none, and of the other facts more or fewer known."""
    share_known = dice.choice([0.05, 0.3, 0.6, 0.9, 1.0])
    known = {key: some_value(dice, fact) for key, fact in GIVEN.items() if dice.random() < share_known}
    return known | dict(dice.choice(PLANNED))


def holds(condition, plan):
    """True, False or None: not known. Sets that are not known may still have nothing in common, whatever they hold."""
    fact, predicate, value = condition
    known, answer = plan.get(fact), PREDICATES[predicate].answer
    if predicate == "is known":
        return (known is not None) is value
    if predicate == "is not known to be":
        return known != value
    if isinstance(value, str) and value.startswith("house:"):
        value = HOUSE_NUMBERS[value[6:]].start
    elif isinstance(value, str) and value.startswith("fact:"):
        other = value[5:]
        value = plan.get(other)
        if predicate == "shares one with" and None in (known, value):
            could_be = known if known is not None else set(FACTS[fact].values)
            other_could_be = value if value is not None else set(FACTS[other].values)
            return None if could_be & other_could_be else False
        if value is None:
            return None
    elif isinstance(value, list):
        value = set(value)
    return None if known is None else bool(answer(known, value))


def verdict(entry, plan):
    """True where the rule holds, False where it does not, None where unknown facts decide."""
    every = [holds(condition, plan) for condition in entry["when"]]
    some = [holds(condition, plan) for condition in entry.get("any", [])] or [True]
    if False in every or (True not in some and None not in some):
        return False
    return None if None in every or True not in some else True


@pytest.fixture(scope="module")
def plans():
    dice = random.Random(SEED)
    return [some_plan(dice) for _ in range(PLANS)]


def test_no_plan_is_held_up_by_an_unknown_fact_and_silent_about_which(plans):
    held_up = 0
    for facts in plans:
        plan = Plan(facts)
        findings = BOOK.check(plan, {}, on=TODAY)
        by_id = {finding.rule_id: finding for finding in findings}
        questions = open_questions(findings)
        for rule_id, entry in STOPS.items():
            found, decided = by_id.get(rule_id), verdict(entry, plan)
            if decided is False:
                assert found is None, (rule_id, facts)
            elif decided is True:
                assert found.asks == (), (rule_id, facts)
            else:
                held_up += 1
                assert found is not None, (rule_id, facts)
                assert found.asks, (rule_id, facts)
                assert not may_proceed(findings)
                for fact in found.asks:
                    assert fact in GIVEN
                    assert fact not in facts
                    assert questions[fact] == FACTS[fact].question
                    assert questions[fact] in found.says
    assert held_up > PLANS  # the made-up plans do leave much open


def test_every_finding_that_asks_names_its_facts_and_every_other_asks_nothing(plans):
    for facts in plans:
        plan = Plan(facts)
        for finding in BOOK.check(plan, {}, on=TODAY):
            decided = verdict(ENTRIES[finding.rule_id], plan)
            assert bool(finding.asks) is (decided is None), (finding.rule_id, facts)
            assert finding.questions == tuple(FACTS[fact].question for fact in finding.asks)


def test_answering_what_a_rule_asks_leaves_it_nothing_to_ask(plans):
    """A blend leads to one more question, what its synthetic part is; so two rounds of answers are enough."""
    dice = random.Random(SEED)
    for facts in plans[:: PLANS // 500]:
        for finding in BOOK.check(Plan(facts), {}, on=TODAY):
            known, asks = dict(facts), finding.asks
            for _ in range(2):
                known |= {fact: some_value(dice, GIVEN[fact]) for fact in asks}
                after = {one.rule_id: one for one in BOOK.check(Plan(known), {}, on=TODAY, about={finding.about})}
                asks = after[finding.rule_id].asks if finding.rule_id in after else ()
            assert asks == (), (finding.rule_id, facts)


def test_more_knowledge_never_turns_an_unknown_into_silence(plans):
    """A question goes away only when the rule then holds, or is known not to."""
    dice = random.Random(SEED)
    for facts in plans[:: PLANS // 2000]:
        asking = {one.rule_id: one.asks for one in BOOK.check(Plan(facts), {}, on=TODAY) if one.asks}
        unknown = sorted(set(GIVEN) - set(facts))
        known = facts | {key: some_value(dice, GIVEN[key]) for key in dice.sample(unknown, min(3, len(unknown)))}
        plan = Plan(known)
        after = {one.rule_id for one in BOOK.check(plan, {}, on=TODAY)}
        for rule_id in set(asking) - after:
            assert verdict(ENTRIES[rule_id], plan) is False, (rule_id, facts)
