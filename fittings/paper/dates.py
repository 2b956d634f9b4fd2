"""The dates to keep: skin tests to be read, the first check-up, the next visit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from clients.models import SkinTest
from fittings.models import Fitting
from fittings.paper.measured import Fact
from fittings.paper.salon_words import SalonWords

WHILE_TESTING = "A skin test that itches, burns or swells: wash it off and call us at once."


def next_dates(
    fitting: Fitting, open_tests: Iterable[SkinTest], numbers: Mapping[str, float] | None, words: SalonWords
) -> tuple[Fact, ...]:
    """numbers: the frozen house rules of the chosen piece; None when none was chosen, which needs no check-up."""
    tests = tuple(Fact(f"Skin test, {test.product}", _reading(test, words)) for test in open_tests)
    next_visit = Fact("Next visit", words.day(fitting.next_visit_on)) if fitting.next_visit_on else None
    if numbers is None:
        return (next_visit or Fact("Next visit", "none is set; call us whenever you like"), *tests)
    check_up_on = words.day_of(fitting.began_at) + timedelta(weeks=numbers["check_up_weeks"])
    if fitting.next_visit_on and fitting.next_visit_on <= check_up_on:
        return (Fact("Next visit and first check-up", words.day(fitting.next_visit_on)), *tests)
    check_up = Fact("First check-up", f"about {words.day(check_up_on)}; call us to book it")
    return (check_up, next_visit, *tests) if next_visit else (check_up, *tests)


def is_open(test: SkinTest, *, on: date, words: SalonWords) -> bool:
    """Not read, not struck out, and its last reading not over on that day."""
    return test.read_at is None and not test.is_struck_out and on <= words.day_of(test.read_again_until)


def _reading(test: SkinTest, words: SalonWords) -> str:
    first = words.day(words.day_of(test.to_be_read_from))
    again = words.day(words.day_of(test.read_again_from))
    return f"have it read on {first}, and again from {again} if you can"
