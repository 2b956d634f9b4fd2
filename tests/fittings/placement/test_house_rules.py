"""The numbers the trade holds by habit: where they start and how they may change."""

from dataclasses import fields

import pytest

from fittings.placement.house_rules import HOUSE_RULES, HouseRules


def test_every_rule_has_words_a_range_and_an_honest_source():
    assert [info.key for info in HOUSE_RULES] == [rule.name for rule in fields(HouseRules)]
    for info in HOUSE_RULES:
        assert info.label
        assert info.low <= info.start <= info.high
        assert info.source == "common practice"


def test_the_start_values_are_the_trades():
    rules = HouseRules()
    assert (rules.margin_mm, rules.set_back_mm, rules.set_back_full_mm) == (13, 13, 25)
    assert (rules.clip_hold_percent, rules.parting_clip_mm) == (40, 10)
    assert (rules.small_base_length_mm, rules.small_base_width_mm) == (51, 102)
    assert (rules.clips_small, rules.clips_medium, rules.clips_medium_most, rules.clips_full) == (4, 5, 6, 5)
    assert (rules.curly_crown_hair_low_mm, rules.curly_crown_hair_high_mm) == (150, 200)
    assert (rules.band_disappears, rules.band_close, rules.band_shows) == (2, 4, 6)


def test_a_changed_rule_leaves_the_others_and_the_start_alone():
    changed = HouseRules().changed({"margin_mm": 15, "clip_hold_percent": 50})
    assert (changed.margin_mm, changed.clip_hold_percent, changed.set_back_mm) == (15, 50, 13)
    assert HouseRules().margin_mm == 13


@pytest.mark.parametrize("value", [-1, 51, float("nan"), float("inf")])
def test_a_value_out_of_range_is_refused_with_the_range(value):
    with pytest.raises(ValueError, match="Base reaches past the thinning on every side by: give 0 to 50 mm, got"):
        HouseRules().changed({"margin_mm": value})


def test_an_unknown_rule_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match="no house rule is called 'margin'; the rules are margin_mm, set_back_mm"):
        HouseRules().changed({"margin": 13})
