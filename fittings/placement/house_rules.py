"""Which numbers does the trade hold by habit, and where does each start?

Every number here is common practice without a printed source; the owner can change each, and screens say so. What a
number decides is said where it is used. Lengths in millimetres, shares in percent, colour differences in CIEDE2000.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Final, Self

_COMMON_PRACTICE: Final = "common practice"


@dataclass(frozen=True)
class HouseRules:
    """The salon's numbers, with the start values of a salon that has changed none."""

    margin_mm: float = 13.0
    set_back_mm: float = 13.0
    set_back_full_mm: float = 25.0
    loss_below_percent: float = 70.0
    clip_hold_percent: float = 40.0
    tape_hold_percent: float = 30.0
    parting_clip_mm: float = 10.0
    small_base_length_mm: float = 51.0
    small_base_width_mm: float = 102.0
    clips_small: float = 4.0
    clips_medium: float = 5.0
    clips_medium_most: float = 6.0
    clips_full: float = 5.0
    curly_crown_hair_low_mm: float = 150.0
    curly_crown_hair_high_mm: float = 200.0
    band_disappears: float = 2.0
    band_close: float = 4.0
    band_shows: float = 6.0
    full_cover_percent: float = 90.0
    full_cover_band_steps: float = 1.0

    def changed(self, changes: Mapping[str, float]) -> Self:
        """These rules with some numbers changed; ValueError for a rule nobody knows or a value out of its range."""
        for key, value in changes.items():
            if key not in _INFO_BY_KEY:
                raise ValueError(f"no house rule is called {key!r}; the rules are {', '.join(_INFO_BY_KEY)}")
            _INFO_BY_KEY[key].check(value)
        return replace(self, **changes)


@dataclass(frozen=True)
class HouseRuleInfo:
    """What a screen says about one number: its name, unit ("mm", "%", "ΔE00", ""), start, range and source."""

    key: str
    label: str
    unit: str
    start: float
    low: float
    high: float
    source: str

    def check(self, value: float) -> None:
        """Raise ValueError with a sentence unless the value lies in the range."""
        if not (math.isfinite(value) and self.low <= value <= self.high):
            unit = f" {self.unit}" if self.unit else ""
            raise ValueError(f"{self.label}: give {self.low:g} to {self.high:g}{unit}, got {value:g}.")


_SAID: Final[dict[str, tuple[str, str, float, float]]] = {
    "margin_mm": ("Base reaches past the thinning on every side by", "mm", 0, 50),
    "set_back_mm": ("Set-back of a clip-in piece with a fringe left out", "mm", 0, 80),
    "set_back_full_mm": ("Set-back of the fullest base without a lace front", "mm", 0, 80),
    "loss_below_percent": ("An area counts as thinning below this much remaining hair", "%", 5, 100),
    "clip_hold_percent": ("A clip needs remaining hair of at least", "%", 0, 100),
    "tape_hold_percent": ("Tape needs skin with remaining hair of at most", "%", 0, 100),
    "parting_clip_mm": ("Parting kept off the front clip by at least", "mm", 0, 50),
    "small_base_length_mm": ("Small starter base: length", "mm", 20, 200),
    "small_base_width_mm": ("Small starter base: width", "mm", 20, 200),
    "clips_small": ("Clips on a small base", "", 0, 20),
    "clips_medium": ("Clips on a medium base: at least", "", 0, 20),
    "clips_medium_most": ("Clips on a medium base: at most", "", 0, 20),
    "clips_full": ("Clips on a full base: at least", "", 0, 20),
    "curly_crown_hair_low_mm": ("Own hair that suits a short curly crown piece: from", "mm", 0, 600),
    "curly_crown_hair_high_mm": ("Own hair that suits a short curly crown piece: to", "mm", 0, 600),
    "band_disappears": ("Colour difference that disappears: up to", "ΔE00", 0, 20),
    "band_close": ("Colour difference that is close: up to", "ΔE00", 0, 20),
    "band_shows": ("Colour difference that shows but may be blended: up to", "ΔE00", 0, 20),
    "full_cover_percent": ("Full cover: share of the own hair hidden, at least", "%", 50, 100),
    "full_cover_band_steps": ("Colour bands that full cover lets pass", "", 0, 3),
}

HOUSE_RULES: Final = tuple(
    HouseRuleInfo(rule.name, label, unit, float(getattr(HouseRules(), rule.name)), low, high, _COMMON_PRACTICE)
    for rule in fields(HouseRules)
    for label, unit, low, high in (_SAID[rule.name],)
)
_INFO_BY_KEY: Final = {info.key: info for info in HOUSE_RULES}
