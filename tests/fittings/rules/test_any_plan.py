"""What holds for every plan, whatever is known of it."""

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.rules.engine import NOTHING_PLANNED, Plan, load_rules, may_proceed
from fittings.rules.facts import FACTS

TODAY = date(2026, 11, 26)
BOOK = load_rules()
RULES = {rule.id: rule for rule in BOOK.in_force(TODAY)}
ABOUT_KNOWING = ("is known", "is not known to be")
GIVEN = {key: fact for key, fact in FACTS.items() if not fact.worked_out_from}


def values_of(fact):
    if fact.kind == "yes/no":
        return st.booleans()
    if fact.kind == "number":
        return st.floats(fact.low, fact.high) | st.integers(int(fact.low), int(fact.high))
    words = st.sampled_from(sorted(fact.values))
    return st.sets(words) if fact.kind == "set" else words


some_facts = st.fixed_dictionaries({}, optional={key: values_of(fact) for key, fact in GIVEN.items()})
all_facts = st.fixed_dictionaries({key: values_of(fact) for key, fact in GIVEN.items()})
one_fact = st.sampled_from(sorted(GIVEN)).flatmap(lambda key: st.tuples(st.just(key), values_of(GIVEN[key])))
scopes = st.sets(st.sampled_from(["piece", "placement", "service", "client"]))


def check(facts, **more):
    return BOOK.check(Plan(facts), {}, on=TODAY, **more)


@given(some_facts)
def test_a_plan_is_never_both_allowed_and_stopped(facts):
    findings = check(facts)
    assert may_proceed(findings) is not any(finding.severity == "stop" for finding in findings)
    ids = [finding.rule_id for finding in findings]
    assert len(ids) == len(set(ids))  # no rule says two things of one plan


@given(some_facts)
def test_a_plan_held_up_by_an_unknown_says_which(facts):
    for finding in check(facts):
        assert len(finding.asks) == len(finding.questions)
        for fact, question in zip(finding.asks, finding.questions, strict=True):
            assert fact in GIVEN
            assert fact not in facts
            assert question == GIVEN[fact].question
            assert question in finding.says


@given(all_facts)
def test_a_plan_of_which_all_is_known_is_asked_nothing(facts):
    assert not any(finding.asks for finding in check(facts))


@given(some_facts, one_fact)
def test_a_question_goes_away_only_by_being_answered(facts, news):
    key, value = news
    if key in facts:
        return
    before = {finding.rule_id: finding for finding in check(facts) if finding.asks}
    after = {finding.rule_id: finding for finding in check(facts | {key: value})}
    for rule_id, asking in before.items():
        rule = RULES[rule_id]
        is_about_knowing_it = any(
            condition.fact == key and condition.predicate in ABOUT_KNOWING for condition in (*rule.when, *rule.any_of)
        )
        if key not in asking.asks and not is_about_knowing_it:
            assert after[rule_id] == asking


@given(some_facts, all_facts)
def test_a_finding_that_asks_for_nothing_stays_when_more_is_known_unless_it_was_about_not_knowing(facts, rest):
    certain = {
        finding.rule_id
        for finding in check(facts)
        if not finding.asks
        and not any(condition.predicate in ABOUT_KNOWING for condition in RULES[finding.rule_id].when)
    }
    assert certain <= {finding.rule_id for finding in check(rest | facts)}


@given(some_facts, scopes)
def test_a_plan_hears_only_about_what_it_is_for(facts, about):
    narrow = check(facts, about=about)
    assert {finding.about for finding in narrow} <= about
    assert set(narrow) == {finding for finding in check(facts) if finding.about in about}


@given(some_facts)
def test_where_nothing_is_planned_no_tool_colour_or_glue_is_asked_about_or_stopped(facts):
    planned_nothing = check({**facts, **NOTHING_PLANNED}, about={"service"})
    assert {finding.rule_id for finding in planned_nothing} <= {"remover-air"}


@settings(max_examples=30)
@given(some_facts)
def test_every_sentence_is_whole_in_either_kind_of_units(facts):
    for units in ("metric", "imperial"):
        for finding in check(facts, units=units):
            for sentence in (finding.says, finding.because, finding.instead, finding.source):
                assert sentence
                assert "{" not in sentence
