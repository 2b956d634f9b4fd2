"""Which numbers of care does the trade hold by habit, and where does each start?

All are common practice without a printed source; the owner can change each, and screens and papers say so. A life is
counted in days worn of eight hours; what shortens it is a percentage taken off.
"""

from typing import Final

from fittings.placement.house_rules import HouseRuleInfo

_COMMON_PRACTICE: Final = "common practice"
FIBRE_WORDS: Final = {
    "human": "human hair",
    "heat_friendly": "heat-friendly synthetic",
    "standard": "standard synthetic",
    "blend": "a blend",
}
_WASH_WEARS: Final = {"human": 8, "heat_friendly": 10, "standard": 10, "blend": 8}
_LIFE_DAYS: Final = {"human": 300, "heat_friendly": 100, "standard": 130, "blend": 180}


def _number(
    key: str, label: str, unit: str, start: float, low: float, high: float, source: str = _COMMON_PRACTICE
) -> HouseRuleInfo:
    return HouseRuleInfo(key, label, unit, start, low, high, source)


CARE_NUMBERS: Final[tuple[HouseRuleInfo, ...]] = (
    *(
        _number(f"care_wash_wears_{fibre}", f"Wash {words} every", "wears", _WASH_WEARS[fibre], 1, 60)
        for fibre, words in FIBRE_WORDS.items()
    ),
    _number("care_wash_hard_water_percent", "Hard water brings the next wash forward by", "%", 20, 0, 80),
    _number("care_wash_swim_percent", "Swimming in it brings the next wash forward by", "%", 50, 0, 90),
    _number("care_deep_every_washes", "Deep care with every so many washes", "washes", 4, 1, 20),
    _number("care_check_up_weeks", "Check-ups after the first, every", "weeks", 12, 2, 52),
    _number("care_tape_days", "Tape is set anew after", "days", 14, 1, 60),
    *(
        _number(
            f"care_life_days_{fibre}", f"Life of {words}, worn eight hours a day", "days", _LIFE_DAYS[fibre], 20, 2000
        )
        for fibre, words in FIBRE_WORDS.items()
    ),
    _number("care_life_bed_percent", "Sleeping in it shortens its life by", "%", 30, 0, 90),
    _number("care_life_swim_percent", "Swimming in it shortens its life by", "%", 25, 0, 90),
    _number("care_life_hard_water_percent", "Hard water shortens its life by", "%", 10, 0, 90),
    _number("care_life_lace_percent", "A lace front shortens its life by", "%", 15, 0, 90),
    _number("care_marked_left_percent", "Clearly worn at a check: left of its life at most", "%", 30, 1, 100),
    _number("care_done_left_days", "At its end at a check: left to order and change within", "days", 21, 1, 180),
    _number("care_lead_weeks", "The next piece is ordered so long before the expected end", "weeks", 6, 0, 52),
    _number(
        "care_message_days", "A message goes out before a check-up, new tape or the next order by", "days", 5, 0, 28
    ),
    _number("care_assumed_days_per_week", "Days a week, where she has not said", "days", 5, 1, 7),
    _number("care_assumed_hours_per_day", "Hours a day, where she has not said", "hours", 8, 1, 24),
    _number("care_longest_life_months", "No piece is expected to last longer than", "months", 36, 6, 120),
    _number(
        "care_learn_from_ended", "The salon's own figure is used once so many have worn out", "pieces", 10, 3, 1000
    ),
    _number("repaint_least", "Heads painted twice before an interval is shown: at least", "heads", 5, 2, 100),
)
