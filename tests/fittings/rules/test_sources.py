"""The figures in the rules against the published ones: fibres and hair from the table of handbook values, the rest from
the list of references. Each carries the mark of how its source was seen: READ, MEMORY; habits are “common practice”.
"""

import csv
import re
from datetime import date
from pathlib import Path

import pytest

from fittings.rules.engine import load_rules
from fittings.rules.house_numbers import RULE_NUMBERS

RULES = {rule.id: rule for rule in load_rules().in_force(date(2026, 11, 26))}
REFERENCE = Path(__file__).parents[4] / "shared" / "reference"
needs_reference = pytest.mark.skipif(
    not (REFERENCE / "fibre_thermal.csv").exists(), reason="../shared/reference with the published tables is not there"
)


def rows(material, property_):
    with (REFERENCE / "fibre_thermal.csv").open(encoding="utf-8", newline="") as table:
        return [row for row in csv.DictReader(table) if material in row["material"] and property_ in row["property"]]


@needs_reference
@pytest.mark.parametrize(
    ("rule_id", "material", "property_", "words"),
    [
        ("heat-standard", "modacrylic", "softening (", "modacrylic at {low} to {high} °C"),
        ("heat-standard", "PVC", "glass transition", "PVC from {low} °C"),
        ("heat-unrated", "modacrylic", "softening (", "softens at {low} °C"),
        ("heat-unrated", "modacrylic", "keeps its properties", "up to {high} °C"),
        ("heat-wet-hair", "human hair", "denaturation peak in water", "{low} to {high} °C"),
        ("heat-hair-high", "human hair", "dry-keratin DTA", "between about {low} and"),
        ("heat-hair-high", "human hair", "alpha-crystalline phase, dry", "and {high} °C"),
        ("heat-set", "artificial-hair fibres", "heat-setting of curl", "{low} to {high} °C"),
        ("heat-set-unstated", "artificial-hair fibres", "heat-setting of curl", "{low} to {high} °C"),
        ("steam-standard", "steam", "temperature", "Steam at {low} °C"),
    ],
)
def test_a_temperature_is_the_published_one_and_carries_its_mark(rule_id, material, property_, words):
    (row,) = rows(material, property_)
    assert words.format(low=row["low_C"], high=row["high_C"]) in RULES[rule_id].because
    assert row["status"] in RULES[rule_id].source


@needs_reference
def test_the_time_at_200_degrees_is_the_published_one():
    (row,) = rows("human hair", "half-life")
    assert "half-life 20-25 min cumulative at 200 C" in row["condition_or_note"]
    assert "at 200 °C half the ordered protein is gone after 20 to 25 minutes" in RULES["heat-hair-warm"].because
    # the matrix of bleached hair falls with a half-time of about 1 minute against about 5
    assert "about 5 min (untreated) and about 1 min (bleached)" in row["condition_or_note"]
    assert "about five times as fast" in RULES["heat-hair-warm-coloured"].because


@needs_reference
@pytest.mark.parametrize(
    ("rule_id", "in_the_rule", "in_the_list"),
    [
        ("heat-solvent", "about 12 °C", r"flash point \*\*53 F = 11\.7 C\*\*.*\*\*READ\*\*"),
        ("remover-air", "about 12 °C", r"flash point \*\*53 F = 11\.7 C\*\*.*\*\*READ\*\*"),
        ("nickel", "0.5 µg of nickel per cm² and week", r"at most \*\*0\.5 ug/cm2/week\*\*.*\*\*READ\*\*"),
        ("dye-age", "under 16", r"not intended for persons under 16"),
        ("dye-alert", "48 hours before each colouring", r"48 hours before each use of this product.*\*\*READ\*\*"),
        ("dye-reaction", "black temporary tattoo", r"reacted to a black henna tattoo"),
        ("dye-chemo", "six months", r"usually wait \*\*at least 6 months\*\*.*\*\*READ\*\*"),
        ("chemo", "two to three weeks into treatment", r"Loss starts 2-3 weeks into chemotherapy.*\*\*READ\*\*"),
        ("adhesive-allergy", "anaphylaxis", r"systemic anaphylaxis.*Cogen FC, Beezhold DH.*\*\*READ\*\*"),
        ("glue-household", "hairline of a wig wearer", r"front hairline.*Sornakumar L.*\*\*READ\*\*"),
        ("traction", "can become permanent", r"follicle damage can be permanent"),
        ("mri", "another part of the body", r"another body part is scanned.*\*\*READ\*\*"),
        ("consent", "explicit consent", r"9\(2\)\(a\) explicit consent.*\*\*READ\*\*"),
    ],
)
def test_a_figure_of_safety_is_the_published_one(rule_id, in_the_rule, in_the_list):
    rule = RULES[rule_id]
    assert in_the_rule in f"{rule.says} {rule.because}"
    assert re.search(in_the_list, (REFERENCE / "REFERENCES.md").read_text(encoding="utf-8"))
    assert "READ" in rule.source


@pytest.mark.parametrize("rule_id", RULES)
def test_every_source_says_how_it_was_seen_or_that_it_is_a_habit(rule_id):
    told = ("READ", "MEMORY", "ommon practice", "Computed from this head", "The maker's", "Local law")
    assert any(mark in RULES[rule_id].source for mark in told), RULES[rule_id].source


def test_what_the_owner_may_change_is_called_a_house_rule_and_nothing_published_is():
    for rule in RULES.values():
        if rule.house_numbers:
            assert "house rule" in rule.source, rule.id
    assert {number.source for number in RULE_NUMBERS} == {"common practice"}
