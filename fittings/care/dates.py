"""When does an owned piece want its next wash, deep care, new tape and check-up, when should the next one be ordered,
and when is this one expected to end?

Each date says what it rests on and where that is from. The figures are house rules of common practice, until the
salon's own pieces are enough; makers' instructions come first, which the screens and papers say. A date already kept
stays when it is past, one newly made is never in the past. Pure: no Django, no records. Days are calendar days.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final

from fittings.care.grounds import (
    Ground,
    OwnLife,
    before_the_end,
    of_checks,
    of_life,
    of_visits,
    of_wash,
    overdue_when_made,
)
from fittings.care.wear import WearStretch, WearTold, day_used_up, life_rates, wash_rates, wear_stretches

WASH, DEEP, TAPE, CHECK, ORDER, REPLACE = "wash", "deep care", "tape", "check-up", "order", "replace"
MARKED, DONE = 2, 3  # clearly worn; at its end
_DAYS_A_MONTH: Final = 365.25 / 12
_A_WEEK: Final = 7


@dataclass(frozen=True)
class CheckFound:
    """How far the worst of the parts had gone that end a piece's life, on the day it was looked over."""

    on: date
    worst: int


@dataclass(frozen=True)
class Span:
    """A date and, where it is known, between which days it lies."""

    due_on: date
    earliest_on: date | None = None
    latest_on: date | None = None


@dataclass(frozen=True)
class CareFacts:
    """What is known of a piece. `standing`: the dates kept for it now, by kind."""

    fibre: str
    since: date
    lace_front: bool = False
    wear: tuple[WearTold, ...] = ()
    takes_turns_since: date | None = None
    last_wash_on: date | None = None
    washes_since_deep: int = 0
    last_check_on: date | None = None
    checks: tuple[CheckFound, ...] = ()
    tape_since: date | None = None
    own_life: OwnLife | None = None
    standing: Mapping[str, Span] = field(default_factory=dict)


@dataclass(frozen=True)
class CareDue:
    kind: str
    span: Span
    rests_on: tuple[Ground, ...]


def care_dates(facts: CareFacts, numbers: Mapping[str, float], today: date) -> tuple[CareDue, ...]:
    """Every date the piece has by what is known, in order; none where nothing is due (a piece that is never worn).

    A date worked out before today is asked for today, once; worked out again it stays where it was put.
    """
    stretches = wear_stretches(
        facts.wear, since=facts.since, takes_turns_since=facts.takes_turns_since, numbers=numbers
    )
    found = [*_washes(facts, numbers, stretches), *_visits(facts, numbers), *_end(facts, numbers, stretches)]
    return tuple(sorted((_settled(due, facts.standing.get(due.kind), today) for due in found), key=_by_day))


def _by_day(due: CareDue) -> tuple[date, str]:
    return due.span.due_on, due.kind


def _washes(facts: CareFacts, numbers: Mapping[str, float], stretches: tuple[WearStretch, ...]) -> list[CareDue]:
    rates = wash_rates(stretches, numbers)
    wears, every = numbers[f"care_wash_wears_{facts.fibre}"], round(numbers["care_deep_every_washes"])
    start = facts.last_wash_on or facts.since
    still = max(1, every - facts.washes_since_deep)  # washes until the one with deep care
    found = []
    for kind, washes in ((WASH, 1), (DEEP, still)):
        day = day_used_up(start, wears * washes, rates)
        if day is not None:
            grounds = of_wash(
                facts.fibre,
                numbers,
                stretches[-1],
                last_wash_on=facts.last_wash_on,
                since_deep=facts.washes_since_deep if kind == DEEP else None,
            )
            found.append(CareDue(kind, Span(day), grounds))
    return found


def _visits(facts: CareFacts, numbers: Mapping[str, float]) -> list[CareDue]:
    found = []
    if facts.tape_since is not None:
        day = facts.tape_since + timedelta(days=round(numbers["care_tape_days"]))
        found.append(CareDue(TAPE, Span(day), of_visits(numbers, tape_since=facts.tape_since)))
    if facts.last_check_on is None:
        day = facts.since + timedelta(days=round(numbers["check_up_weeks"] * _A_WEEK))
    else:
        day = facts.last_check_on + timedelta(days=round(numbers["care_check_up_weeks"] * _A_WEEK))
    found.append(CareDue(CHECK, Span(day), of_visits(numbers, since=facts.since, last_check_on=facts.last_check_on)))
    return found


def _end(facts: CareFacts, numbers: Mapping[str, float], stretches: tuple[WearStretch, ...]) -> list[CareDue]:
    """The expected end, and when the next one should be ordered for it."""
    own = facts.own_life
    end = _span_of_life(facts, numbers, stretches)
    before = timedelta(days=round(numbers["care_lead_weeks"] * _A_WEEK))
    order = Span(end.due_on - before, *(day and day - before for day in (end.earliest_on, end.latest_on)))
    grounds = of_life(
        facts.fibre,
        numbers,
        stretches[-1],
        lace_front=facts.lace_front,
        own=own,
    )
    grounds += of_checks(numbers, [(check.on, check.worst) for check in facts.checks if check.worst >= MARKED])
    return [CareDue(ORDER, order, (before_the_end(numbers, end.due_on), *grounds)), CareDue(REPLACE, end, grounds)]


def _span_of_life(facts: CareFacts, numbers: Mapping[str, float], stretches: tuple[WearStretch, ...]) -> Span:
    """Its whole life used up as it is worn, and no later than a check or the longest life allows.

    The salon's own figure is in calendar days of pieces of all kinds of wear: it counts as days worn as the house
    assumes, so that it moves with her own wear; lace fronts are among those pieces and shorten nothing twice.
    """
    own = facts.own_life
    rates = life_rates(stretches, numbers, lace_front=facts.lace_front and own is None)
    longest = facts.since + timedelta(days=round(numbers["care_longest_life_months"] * _DAYS_A_MONTH))
    if own is None:
        return Span(_end_of(facts, numbers, rates, numbers[f"care_life_days_{facts.fibre}"], longest))
    worn_a_day = numbers["care_assumed_days_per_week"] / 7 * numbers["care_assumed_hours_per_day"] / 8
    middle = _end_of(facts, numbers, rates, own.median_days * worn_a_day, longest)
    low = _end_of(facts, numbers, rates, own.low_days * worn_a_day, longest) if own.low_days else None
    high = _end_of(facts, numbers, rates, own.high_days * worn_a_day, longest) if own.high_days else None
    return Span(middle, low, high)


def _end_of(
    facts: CareFacts, numbers: Mapping[str, float], rates: list[tuple[date, float]], life: float, longest: date
) -> date:
    ends = [longest, day_used_up(facts.since, life, rates)]
    for check in facts.checks:
        if check.worst >= MARKED:
            ends.append(day_used_up(check.on, life * numbers["care_marked_left_percent"] / 100, rates))
        if check.worst >= DONE:
            ends.append(check.on + timedelta(days=round(numbers["care_done_left_days"])))
    return min(day for day in ends if day is not None)


def _settled(due: CareDue, kept: Span | None, today: date) -> CareDue:
    before = kept or Span(date.min)  # no day is kept that was worked out so early
    span = Span(
        _settled_day(due.span.due_on, before.due_on, today),
        due.span.earliest_on and _settled_day(due.span.earliest_on, before.earliest_on, today),
        due.span.latest_on and _settled_day(due.span.latest_on, before.latest_on, today),
    )
    if span.due_on == due.span.due_on:
        return CareDue(due.kind, span, due.rests_on)
    return CareDue(due.kind, span, (*due.rests_on, overdue_when_made(due.span.due_on)))


def _settled_day(worked_out: date, kept: date | None, today: date) -> date:
    """Never newly in the past; one that was put on a day when it was made stays there when that day has passed."""
    if worked_out >= today or worked_out == kept:
        return worked_out
    return kept if kept is not None and worked_out < kept <= today else today
