"""Reads a house number as an owner types it: in its own unit, or with inches or °F written behind it."""

from __future__ import annotations

import math
import re

from fittings.placement.house_rules import HouseRuleInfo
from fittings.rules.wording import Units, say_number
from salon.common.lengths import parse_length_mm
from salon.common.temperatures import parse_temperature_c

_NUMBER = re.compile(r"[-−+]?[0-9]{1,7}(?:[.,][0-9]{1,6})?")


def number_typed(text: str, info: HouseRuleInfo) -> float:
    """The number that `text` means in the unit of its rule; ValueError with a sentence when it means none.

    >>> from fittings.house_numbers import ALL_NUMBERS
    >>> number_typed("1/2 in", ALL_NUMBERS["margin_mm"]), number_typed("13", ALL_NUMBERS["margin_mm"])
    (12.7, 13.0)
    """
    typed = text.strip()
    if not typed:
        raise ValueError(f"Write a number from {info.low:g} to {info.high:g}.")
    plain = typed.removesuffix(info.unit).strip() if info.unit else typed
    if _NUMBER.fullmatch(plain):
        return float(plain.replace(",", ".").replace("−", "-"))
    if info.unit == "mm":
        return parse_length_mm(typed)
    if info.unit == "°C":
        return parse_temperature_c(typed)
    raise ValueError(f"“{typed}” is not a number. Write one from {info.low:g} to {info.high:g}.")


def as_typed(value: float) -> str:
    """A number as its field shows it; reading it back gives the same number."""
    return f"{value:g}" if math.isclose(float(f"{value:g}"), value, rel_tol=0, abs_tol=0) else repr(value)


def in_readers_units(value: float, unit: str, units: Units) -> str:
    """“½ in” or “356 °F” for who reads those; nothing where the number's own unit says it already."""
    return say_number(value, unit, units) if units == "imperial" and unit in ("mm", "°C") else ""
