"""Every number the salon decides by habit, in one table: those of the placement, the rules, a visit and care.

All are common practice without a printed source unless one is named; the owner can change each. The tables of the
placement and of the rules lie in their own pure folders; this one adds what a visit needs and joins them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from fittings.care.numbers import CARE_NUMBERS
from fittings.placement.house_rules import HouseRuleInfo, HouseRules
from fittings.rules.house_numbers import HOUSE_NUMBERS

_COMMON_PRACTICE = "common practice"

VISIT_NUMBERS: tuple[HouseRuleInfo, ...] = (
    HouseRuleInfo(
        "cover_least_percent", "A piece is offered only if it covers at least", "%", 85, 30, 100, _COMMON_PRACTICE
    ),
    HouseRuleInfo("by_eye_doubt", "Doubt of a colour read by eye", "ΔE00", 3, 0.5, 10, _COMMON_PRACTICE),
    HouseRuleInfo(
        "instrument_doubt",
        "Doubt of a colour read by an instrument",
        "ΔE00",
        0.6,
        0.1,
        5,
        "started from the spread of a re-placed tress: 0.3 to 1.2 in L*, J. Cosmet. Sci. 51(5), 2000 (READ)",
    ),
    HouseRuleInfo(
        "adhesive_test_valid_days", "A clear skin test of an adhesive holds for", "days", 180, 1, 730, _COMMON_PRACTICE
    ),
    HouseRuleInfo(
        "allergy_test_valid_days",
        "A clear allergy alert test holds for",
        "days",
        7,
        1,
        60,
        "common practice; product labels ask for a test 48 hours before each colouring",
    ),
    HouseRuleInfo("check_up_weeks", "First check-up after a fitting", "weeks", 4, 1, 26, _COMMON_PRACTICE),
)

ALL_NUMBERS: Mapping[str, HouseRuleInfo] = {
    **HOUSE_NUMBERS,
    **{info.key: info for info in (*VISIT_NUMBERS, *CARE_NUMBERS)},
}


def start_numbers() -> dict[str, float]:
    """Every number at its start value."""
    return {key: info.start for key, info in ALL_NUMBERS.items()}


def placement_rules(numbers: Mapping[str, float]) -> HouseRules:
    """The part of the numbers that placing a base needs."""
    return HouseRules(**{rule.name: numbers[rule.name] for rule in fields(HouseRules)})
