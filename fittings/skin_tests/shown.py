"""A skin test as pages and papers tell it: until when it counts, by whose figure, and whether it does now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from clients.models import SkinTest
from clients.models.health import SkinTestKind
from fittings.plan_facts import VALID_DAYS


@dataclass(frozen=True)
class ToldTest:
    """`days` and `by_house_rule`: how long a clear reading counts, and whether that is the salon's own figure."""

    test: SkinTest
    days: int
    by_house_rule: bool
    until: datetime | None
    counts: bool


def told_tests(tests: Iterable[SkinTest], *, numbers: Mapping[str, float], at: datetime) -> list[ToldTest]:
    """Each test with its window. One of a product to which a reaction was recorded counts for nothing any more."""
    every = list(tests)
    reacted = {test.product_key for test in every if test.reacted}
    reacted_to = {test.known_product_id for test in every if test.reacted and test.known_product_id}
    told = []
    for test in every:
        house_days = numbers[VALID_DAYS[SkinTestKind(test.kind)]]
        until = test.counts_until(house_days=house_days)
        safe = test.product_key not in reacted and test.known_product_id not in reacted_to
        told.append(
            ToldTest(
                test=test,
                days=int(house_days) if test.valid_days is None else test.valid_days,
                by_house_rule=test.valid_days is None,
                until=until,
                counts=bool(safe and until and test.read_at and test.read_at <= at < until),
            )
        )
    return told
