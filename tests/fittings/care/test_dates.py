"""The dates of care: what each rests on, and what holds whatever is known."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.care.dates import CareFacts, CheckFound, Span, care_dates
from fittings.care.grounds import OwnLife
from fittings.care.numbers import FIBRE_WORDS
from fittings.care.wear import WearTold
from fittings.house_numbers import start_numbers

NUMBERS = start_numbers()
SINCE = date(2026, 3, 2)  # a Monday
TODAY = SINCE
DAILY = WearTold(SINCE, 7, 8, False, False, False)


def day(number):
    return SINCE + timedelta(days=number)


def dates(today=TODAY, numbers=NUMBERS, **facts):
    found = care_dates(CareFacts(**({"fibre": "human", "since": SINCE, "wear": (DAILY,)} | facts)), numbers, today)
    return {due.kind: due for due in found}


def due(kind, **facts):
    return dates(**facts)[kind].span.due_on


def says(kind, **facts):
    return {ground.says: ground.source for ground in dates(**facts)[kind].rests_on}


# Each date


def test_a_wash_after_so_many_wears():
    assert due("wash") == day(8)
    assert due("wash", wear=(replace(DAILY, days_per_week=4),)) == day(14)
    assert due("wash", last_wash_on=day(3), today=day(3)) == day(11)


def test_hard_water_and_swimming_bring_it_forward():
    assert due("wash", wear=(replace(DAILY, hard_water=True),)) == day(7)  # 8 wears, a fifth fewer: 6.4
    assert due("wash", wear=(replace(DAILY, swum_in=True),)) == day(4)


def test_wear_that_changes_counts_from_its_day():
    rarely = replace(DAILY, on=day(4), days_per_week=1)
    assert due("wash", wear=(DAILY, rarely)) == day(4 + 28)


def test_deep_care_with_every_fourth_wash():
    assert due("deep care") == day(32)
    assert due("deep care", last_wash_on=day(8), washes_since_deep=1, today=day(8)) == day(32)
    assert due("deep care", last_wash_on=day(50), washes_since_deep=9, today=day(50)) == day(58)  # with the next


def test_check_ups_and_tape():
    assert due("check-up") == day(28)
    assert due("check-up", last_check_on=day(30), today=day(30)) == day(30 + 84)
    assert "tape" not in dates()
    assert due("tape", tape_since=day(1)) == day(15)


def test_life_in_days_of_eight_hours():
    assert due("replace") == day(300)
    assert due("replace", wear=(replace(DAILY, hours_per_day=4),)) == day(600)
    assert due("replace", wear=(replace(DAILY, worn_to_bed=True),)) == day(210)
    assert due("replace", lace_front=True) == day(255)


def test_two_in_turns_last_twice_as_long_from_the_day_there_were_two():
    assert due("replace", takes_turns_since=SINCE) == day(600)
    assert due("replace", takes_turns_since=day(100)) == day(500)
    assert due("wash", takes_turns_since=SINCE) == day(16)


def test_the_next_is_ordered_six_weeks_before():
    assert due("order") == day(300 - 42)


def test_no_piece_is_expected_to_last_for_ever():
    rarely = (replace(DAILY, days_per_week=1, hours_per_day=2),)
    assert due("replace", wear=rarely) == day(1096)  # 36 months
    assert due("replace", wear=(replace(DAILY, days_per_week=0),)) == day(1096)


def test_one_that_is_never_worn_wants_no_wash():
    assert set(dates(wear=(replace(DAILY, days_per_week=0),))) == {"check-up", "order", "replace"}


def test_a_check_leaves_so_much_of_its_life():
    marked = (CheckFound(day(50), 2),)
    assert due("replace", checks=marked, today=day(50)) == day(50 + 90)  # 30 % of 300
    done = (*marked, CheckFound(day(60), 3))
    assert due("replace", checks=done, today=day(60)) == day(60 + 21)
    assert due("order", checks=done, today=day(60)) == day(60)  # its day has passed when it is made


def test_a_check_that_finds_it_as_new_changes_nothing():
    assert due("replace", checks=(CheckFound(day(50), 0),)) == due("replace")


# The salon's own figure

OWN = OwnLife(pieces=20, ended=14, median_days=240, low_days=190, high_days=300)


def test_worn_as_the_house_assumes_it_lasts_as_the_salons_own_have():
    found = dates(wear=(), own_life=OWN)["replace"].span
    assert found == Span(day(240), day(190), day(300))


def test_the_own_figure_moves_with_her_wear():
    assert due("replace", own_life=OWN) == day(172)  # seven days a week where the house assumes five: 240 × 5/7
    assert due("replace", own_life=OWN, lace_front=True) == day(172)  # lace fronts are among those pieces


def test_an_interval_that_is_open_stays_open():
    found = dates(wear=(), own_life=replace(OWN, low_days=None, high_days=None))["replace"].span
    assert found == Span(day(240))


def test_it_says_whose_figure_it_is():
    assert (
        "The salon's own 20 pieces of human hair, 14 worn out: half lasted 240 days, 95 % interval 190 to 300; counted "
        "as worn 5 days a week, 8 hours a day"
    ) in says("replace", own_life=OWN)
    assert says("replace")["Human hair lasts 300 days worn eight hours"] == "house"


# What it rests on


def test_what_was_not_asked_is_assumed_and_says_so():
    found = says("replace", wear=())
    assert found["Worn 5 days a week"] == found["8 hours a day"] == "assumed"
    assert found["Counted as not slept in and not swum in and not washed in hard water"] == "assumed"
    assert says("replace")["Worn 7 days a week"] == "told"
    assert "assumed" not in says("replace").values()


def test_what_she_told_first_holds_for_the_time_before_it_too():
    assert due("replace", wear=(replace(DAILY, on=day(40)),)) == due("replace")


def test_an_answer_stands_until_she_gives_another():
    partly = WearTold(day(10), hours_per_day=8)  # of the days nothing was asked then
    assert due("replace", wear=(DAILY, partly)) == due("replace")


def test_the_last_check_and_wash_are_named():
    assert says("wash", last_wash_on=day(3))["Last washed on 5 March 2026"] == "recorded"
    assert says("replace", checks=(CheckFound(day(50), 2),))["Found clearly worn on 21 April 2026"] == "recorded"


# Whatever is known

KNOWN = st.builds(
    WearTold,
    on=st.integers(-30, 400).map(day),
    days_per_week=st.integers(0, 7),
    hours_per_day=st.integers(0, 24),
    worn_to_bed=st.booleans(),
    swum_in=st.booleans(),
    hard_water=st.booleans(),
)
MAYBE = st.builds(
    WearTold,
    on=st.integers(-30, 400).map(day),
    days_per_week=st.none() | st.integers(0, 7),
    hours_per_day=st.none() | st.integers(0, 24),
    worn_to_bed=st.none() | st.booleans(),
    swum_in=st.none() | st.booleans(),
    hard_water=st.none() | st.booleans(),
)
CHECKS = st.builds(CheckFound, on=st.integers(0, 400).map(day), worst=st.integers(0, 3))
PAST = st.integers(0, 400).map(day)


def all_facts(wear):
    return st.builds(
        CareFacts,
        fibre=st.sampled_from(sorted(FIBRE_WORDS)),
        since=st.just(SINCE),
        lace_front=st.booleans(),
        wear=wear,
        takes_turns_since=st.none() | PAST,
        last_wash_on=st.none() | PAST,
        washes_since_deep=st.integers(0, 9),
        last_check_on=st.none() | PAST,
        checks=st.lists(CHECKS, max_size=3).map(tuple),
        tape_since=st.none() | PAST,
        own_life=st.none() | st.builds(OwnLife, *[st.just(20)] * 2, *[st.integers(1, 900)] * 3),
    )


FACTS = all_facts(st.lists(MAYBE, max_size=4).map(tuple))
ONE_WAY = all_facts(KNOWN.map(lambda told: (told,)))
DAYS = st.integers(0, 900).map(day)


def kept(found):
    return {due.kind: due.span for due in found}


def spans(facts, today):
    return kept(care_dates(facts, NUMBERS, today))


@given(FACTS, DAYS)
def test_none_is_in_the_past_when_it_is_made(facts, today):
    for span in spans(facts, today).values():
        assert all(day >= today for day in (span.due_on, span.earliest_on, span.latest_on) if day)


@given(FACTS, DAYS, st.integers(0, 900))
def test_worked_out_again_on_any_later_day_it_is_the_same(facts, today, later):
    first = care_dates(facts, NUMBERS, today)
    again = care_dates(replace(facts, standing=kept(first)), NUMBERS, today + timedelta(days=later))
    assert again == first


@given(FACTS, FACTS, DAYS, st.integers(0, 90))
def test_one_that_moves_moves_to_today_or_later(before, after, today, later):
    first, then = spans(before, today), today + timedelta(days=later)
    for kind, span in spans(replace(after, standing=first), then).items():
        assert span.due_on >= then or span.due_on == first[kind].due_on


MORE = {"worn_to_bed": True, "swum_in": True, "hard_water": True}


@given(ONE_WAY, DAYS, st.sampled_from(["days_per_week", "hours_per_day", *MORE]), st.integers(1, 24))
def test_more_wear_makes_nothing_later(facts, today, what, by):
    told = facts.wear[0]
    most = {"days_per_week": 7, "hours_per_day": 24}
    more = MORE[what] if what in MORE else min(most[what], getattr(told, what) + by)
    harder = spans(replace(facts, wear=(replace(told, **{what: more}),)), today)
    for kind, span in spans(facts, today).items():
        assert harder[kind].due_on <= span.due_on


@given(ONE_WAY, DAYS)
def test_worn_by_itself_it_lasts_no_longer_than_in_turns(facts, today):
    alone = spans(replace(facts, takes_turns_since=None), today)
    assert all(alone[kind].due_on <= span.due_on for kind, span in spans(facts, today).items())


@given(FACTS, CHECKS, DAYS)
def test_a_check_more_lengthens_no_life(facts, check, today):
    before, after = spans(facts, today), spans(replace(facts, checks=(*facts.checks, check)), today)
    assert after["replace"].due_on <= before["replace"].due_on
    assert after["order"].due_on <= before["order"].due_on


@given(FACTS, DAYS)
def test_the_next_is_ordered_before_the_end(facts, today):
    found = spans(facts, today)
    assert found["order"].due_on <= found["replace"].due_on


@given(FACTS, DAYS)
def test_an_interval_holds_its_date(facts, today):
    own = facts.own_life
    if own and own.low_days <= own.median_days <= own.high_days:
        span = spans(facts, today)["replace"]
        assert span.earliest_on <= span.due_on <= span.latest_on


@pytest.mark.parametrize("fibre", sorted(FIBRE_WORDS))
def test_every_date_says_what_it_rests_on(fibre):
    found = dates(fibre=fibre, tape_since=SINCE)
    assert set(found) == {"wash", "deep care", "tape", "check-up", "order", "replace"}
    assert all("house" in {ground.source for ground in due.rests_on} for due in found.values())
