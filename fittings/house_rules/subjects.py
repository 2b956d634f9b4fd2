"""Under which subject does each house number stand on the owner's page? Each number stands under one."""

from __future__ import annotations

from dataclasses import dataclass

from fittings.house_numbers import ALL_NUMBERS
from fittings.placement.house_rules import HouseRuleInfo


@dataclass(frozen=True, slots=True)
class Subject:
    key: str
    heading: str
    says: str
    numbers: tuple[HouseRuleInfo, ...]


def _subject(key: str, heading: str, says: str, *keys: str) -> Subject:
    return Subject(key, heading, says, tuple(ALL_NUMBERS[one] for one in keys))


SUBJECTS: tuple[Subject, ...] = (
    _subject(
        "placement",
        "Placement",
        "Where a base sits, and from when it counts as covering.",
        "margin_mm",
        "set_back_mm",
        "set_back_full_mm",
        "loss_below_percent",
        "cover_least_percent",
        "small_base_length_mm",
        "small_base_width_mm",
    ),
    _subject(
        "clips",
        "Clips and tape",
        "What holds, and how many clips a base wants.",
        "clip_hold_percent",
        "tape_hold_percent",
        "clips_needed",
        "parting_clip_mm",
        "clips_small",
        "clips_medium",
        "clips_medium_most",
        "clips_full",
    ),
    _subject(
        "colour",
        "Colour",
        "What a colour difference is called, and how much a reading is doubted.",
        "band_disappears",
        "band_close",
        "band_shows",
        "full_cover_percent",
        "full_cover_band_steps",
        "by_eye_doubt",
        "instrument_doubt",
    ),
    _subject(
        "blend",
        "Length and texture",
        "When piece and own hair look like two.",
        "short_own_hair_mm",
        "long_piece_mm",
        "texture_steps_apart",
        "curly_crown_hair_low_mm",
        "curly_crown_hair_high_mm",
    ),
    _subject(
        "heat",
        "Heat",
        "The maker's figure for a piece always comes first.",
        "hair_warm_c",
        "coloured_hair_warm_c",
        "near_base_mm",
    ),
    _subject(
        "tests",
        "Skin tests",
        "How long a clear test holds where its product says nothing; the maker's figure comes first.",
        "adhesive_test_valid_days",
        "allergy_test_valid_days",
    ),
    _subject(
        "care",
        "Care and life",
        "When a piece is washed, checked and followed by the next.",
        "check_up_weeks",
        "pair_days_per_week",
        *(key for key in ALL_NUMBERS if key.startswith("care_")),
    ),
    _subject("painting", "Painting the head", "When the salon's own spread of painting counts.", "repaint_least"),
)
