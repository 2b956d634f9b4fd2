"""Which house numbers do the rules use besides those of the placement, and where does each start?

Common practice without a printed source, like the placement's: the owner can change each, and screens say so. Rule
files name a number by its key (`house:clips_needed`) and never hold its value.
"""

from __future__ import annotations

from collections.abc import Mapping

from fittings.placement.house_rules import HOUSE_RULES, HouseRuleInfo

_COMMON_PRACTICE = "common practice"

RULE_NUMBERS: tuple[HouseRuleInfo, ...] = (
    HouseRuleInfo(
        "clips_needed", "Clips that must hold where there is no tape: at least", "", 3, 1, 10, _COMMON_PRACTICE
    ),
    HouseRuleInfo("hair_warm_c", "Heat on human hair needs care from", "°C", 180, 100, 200, _COMMON_PRACTICE),
    HouseRuleInfo(
        "coloured_hair_warm_c", "Heat on coloured human hair needs care above", "°C", 160, 100, 200, _COMMON_PRACTICE
    ),
    HouseRuleInfo("near_base_mm", "Hot tools kept off the base by at least", "mm", 10, 0, 50, _COMMON_PRACTICE),
    HouseRuleInfo("short_own_hair_mm", "Own hair is short under", "mm", 150, 0, 600, _COMMON_PRACTICE),
    HouseRuleInfo("long_piece_mm", "A straight piece is long over", "mm", 300, 50, 1000, _COMMON_PRACTICE),
    HouseRuleInfo("texture_steps_apart", "Textures are far apart from this many steps", "", 2, 1, 3, _COMMON_PRACTICE),
    HouseRuleInfo(
        "pair_days_per_week", "A second piece is worth it from this many days a week", "days", 5, 1, 7, _COMMON_PRACTICE
    ),
)

HOUSE_NUMBERS: Mapping[str, HouseRuleInfo] = {info.key: info for info in (*HOUSE_RULES, *RULE_NUMBERS)}


def house_number(house_rules: object, key: str) -> float:
    """The salon's value of a number, from a mapping or from an object's attribute; its start value if it holds none."""
    value = house_rules.get(key) if isinstance(house_rules, Mapping) else getattr(house_rules, key, None)
    return HOUSE_NUMBERS[key].start if value is None else float(value)
