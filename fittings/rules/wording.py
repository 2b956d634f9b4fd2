"""How a rule's sentence is filled in: `{fact}` by what the plan says, `{house:key}` by the salon's number.

Numbers are written in the reader's units, choices and sets in their plain words.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Literal

from fittings.rules.facts import FACTS
from fittings.rules.house_numbers import HOUSE_NUMBERS, house_number
from fittings.rules.plan import Plan, Value
from salon.common.lengths import format_length
from salon.common.temperatures import format_temperature

Units = Literal["metric", "imperial"]

HOUSE_PREFIX = "house:"
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")


def placeholders(sentence: str) -> list[str]:
    """The names in braces, in order."""
    return _PLACEHOLDER.findall(sentence)


def filled_in(sentence: str, plan: Plan, house_rules: object, units: Units) -> str:
    """The sentence with every name in braces replaced; one the plan does not hold reads “not known”."""

    def say(key: str) -> str:
        return say_value(key, plan[key], units) if key in plan else "not known"

    return _replaced(sentence, say, house_rules, units)


def with_labels(sentence: str, house_rules: object, units: Units) -> str:
    """The sentence as a table of rules shows it: facts by their label in brackets, house numbers by their value."""
    return _replaced(sentence, lambda key: f"[{FACTS[key].label}]", house_rules, units)


def say_value(key: str, value: Value, units: Units) -> str:
    """A fact's value in words."""
    fact = FACTS[key]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return fact.values[value]
    if isinstance(value, frozenset):
        words = [said for word, said in fact.values.items() if word in value]  # in the order of the list of facts
        return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]])) or "none"
    return say_number(value, fact.unit, units)


def say_number(value: float, unit: str, units: Units) -> str:
    """A number with its unit, lengths and temperatures in the reader's own."""
    if unit == "°C":
        return format_temperature(value, "F" if units == "imperial" else "C")
    if unit == "mm":
        return format_length(value, "in" if units == "imperial" else "cm")
    if unit == "share":
        return f"{math.floor(value * 100 + 1e-9)} %"  # down, so that not quite all never reads 100 %
    if unit == "cm²":
        return f"{value:.1f} cm²" if value >= 0.1 else "less than 0.1 cm²"
    if unit == "ΔE00":
        return f"ΔE00 {value:.1f}"
    return f"{value:g} {unit}".rstrip()


def _replaced(sentence: str, say: Callable[[str], str], house_rules: object, units: Units) -> str:
    def replacement(found: re.Match[str]) -> str:
        name = found[1]
        if name.startswith(HOUSE_PREFIX):
            key = name.removeprefix(HOUSE_PREFIX)
            return say_number(house_number(house_rules, key), HOUSE_NUMBERS[key].unit, units)
        return say(name)

    return _PLACEHOLDER.sub(replacement, sentence)
