"""What the record of a client's skin tests says: each product and lot, when applied and read, by whom, and its window.

A test that was struck out stays on the paper and says why; a reaction that was recorded is said first, struck out or
not. The salon diagnoses nothing: what was seen is told, and a doctor reads it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from clients.models import Client, Sensitivity
from clients.models.health import SkinTestKind
from fittings.models import HouseRule
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section, Sheet, Table, facts, sheet, unbroken
from fittings.skin_tests.shown import ToldTest, told_tests
from salon.models import Salon, User

PROMISES_NOTHING = "A clear test lowers the risk; it promises nothing. The maker's instructions come first."
SEE_A_DOCTOR = (
    "If your skin itches, burns, reddens or swells: take the product off, rinse with water, use none of it, call us "
    "and see a doctor."
)


def skin_test_record(client: Client, *, salon: Salon, on: date, at: datetime) -> Sheet:
    """The paper as it is printed at that moment, in a fixed number of queries."""
    words = SalonWords.of(salon)
    told = skin_tests_of(client, at=at)
    return sheet(
        "Skin tests",
        client,
        salon=salon,
        on=on,
        heading="Your skin tests",
        sections=(
            *reactions_section(client.sensitivities.all(), told, words),
            skin_tests_section(told, words),
        ),
        whom_to_call=True,
    )


def skin_tests_of(client: Client, *, at: datetime) -> list[ToldTest]:
    tests = client.skin_tests.select_related("applied_by", "read_by", "earlier_read_by", "struck_out_by")
    return told_tests(tests, numbers=HouseRule.objects.current(), at=at)


def reactions_section(
    sensitivities: Iterable[Sensitivity], told: Iterable[ToldTest], words: SalonWords
) -> tuple[Section, ...]:
    """What she has reacted to, as she told it and as it was seen; no section where there is nothing."""
    points = [
        f"{': '.join(filter(None, (str(one), one.reaction)))} (told on {words.day(one.told_on)})"
        for one in sensitivities
    ]
    points += [
        f"{one.test.product}: a reaction was recorded{' and struck out' if one.test.is_struck_out else ''}; none of it "
        "on your skin, not even as a test"
        for one in told
        if one.test.reacted
    ]
    return (Section("Reactions", points=tuple(points)),) if points else ()


def skin_tests_section(told: list[ToldTest], words: SalonWords, *, heading: str = "Tests, newest first") -> Section:
    if not told:
        return Section(heading, empty="No test is on record.")
    rows = tuple(
        (one.test.product, unbroken(words.day(words.day_of(one.test.applied_at))), _result(one), _until(one, words))
        for one in told
    )
    return Section(
        heading,
        says=(PROMISES_NOTHING, SEE_A_DOCTOR),
        tables=(Table("Tests at a glance", ("Product", "Applied", "Result", "Counts until"), rows),),
        entries=tuple(_entry(one, words) for one in told),
    )


def _entry(told: ToldTest, words: SalonWords) -> Entry:
    test = told.test
    first, last = (test.earlier_read_at, test.read_at) if test.earlier_read_at else (test.read_at, None)
    first_by = test.earlier_read_by if test.earlier_read_at else test.read_by
    window = f"{told.days} days, {'by the house rule' if told.by_house_rule else 'as its maker says'}"
    if test.kind == SkinTestKind.COLOUR:
        window += "; for one colouring only"
    seen = "a reaction was seen" if test.reacted else "no reaction"
    return Entry(
        f"{test.product}, {words.day(words.day_of(test.applied_at))}",
        facts=facts(
            ("Test", test.get_kind_display()),
            ("Lot", test.lot or "not noted"),
            ("Applied", f"{words.moment(test.applied_at)}, by {test.applied_by}"),
            ("Written down", _written(told, words)),
            ("To be read", "" if test.read_at or test.is_struck_out else _to_be_read(told, words)),
            ("First reading", _reading(first, first_by, "no reaction" if last else seen, words)),
            ("Second reading", _reading(last, test.read_by, seen, words)),
            ("A clear reading counts for", window if told.until else ""),
            ("Counts until", words.moment(told.until) if told.until else ""),
        ),
        mended=(
            f"Struck out on {words.moment(test.struck_out_at)} by {test.struck_out_by}: {test.struck_out_because}"
            if test.struck_out_at
            else ""
        ),
        stands=not test.is_struck_out,
    )


def _reading(at: datetime | None, by: User | None, seen: str, words: SalonWords) -> str:
    return f"{words.moment(at)}, by {by}: {seen}" if at else ""


def _written(told: ToldTest, words: SalonWords) -> str:
    written = told.test.written_at
    return words.moment(written) if written and written != told.test.applied_at else ""


def _to_be_read(told: ToldTest, words: SalonWords) -> str:
    test = told.test
    again, until = (words.day(words.day_of(at)) for at in (test.read_again_from, test.read_again_until))
    return f"from {words.moment(test.to_be_read_from)}; again from {again} to {until} if you can come"


def _result(told: ToldTest) -> str:
    struck = ", struck out" if told.test.is_struck_out else ""
    if told.test.reacted:
        return f"Reaction{struck}"
    return f"{'No reaction' if told.test.read_at else 'Not read yet'}{struck}"


def _until(told: ToldTest, words: SalonWords) -> str:
    if told.until is None:
        return "does not count"
    day = unbroken(words.day(words.day_of(told.until)))
    return day if told.counts else f"{day} (no longer)"
