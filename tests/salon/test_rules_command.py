"""`manage.py rules`: the table of rules at a terminal, with weights, reasons, sources and dates."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError

from fittings.candidates import rule_book
from fittings.keeping_house_rules import keep_house_rules
from fittings.models import HouseRule
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db


def printed(*arguments):
    out = StringIO()
    call_command("rules", *arguments, stdout=out, stderr=out)
    return out.getvalue()


def ids(text):
    weights = ("STOP  ", "TAKE CARE  ", "NOTE  ")
    return {line.split("  ")[1] for line in text.splitlines() if line.startswith(weights)}


def in_force(on=date(2030, 1, 1)):
    return rule_book().in_force(on)


def test_every_rule_is_printed_with_its_source_and_date():
    text = printed("--width", "120", "--on", "2030-01-01")
    assert ids(text) == {rule.id for rule in in_force()}
    flat = " ".join(text.split())
    for rule in in_force():
        assert f"since {rule.since.isoformat()}" in flat
        if "{" not in rule.source:
            assert " ".join(rule.source.split()) in flat
    assert f"{len(in_force())} rules in force on 2030-01-01: " in text
    assert "General guidance, not medical advice." in text


def test_one_subject_and_one_weight():
    text = printed("--subject", "heat", "--weight", "stop")
    assert ids(text) == {rule.id for rule in in_force() if (rule.subject, rule.severity) == ("heat", "stop")}
    assert text.startswith("Heat\n====\n")


def test_what_changed_since_a_day_and_what_held_on_another():
    changed = printed("--changed-since", "2026-11-01", "--on", "2026-12-01")
    assert ids(changed) == {rule.id for rule in in_force() if date(2026, 11, 1) <= rule.since <= date(2026, 12, 1)}
    assert "sleep" in ids(changed)
    assert "heat-standard" not in ids(changed)
    earlier = printed("--on", "2024-06-01", "--subject", "fixing")
    assert "Take a clip-in piece off before sleep." in earlier
    assert printed("--on", "2000-01-01").startswith("0 rules in force on 2000-01-01.")


@pytest.mark.parametrize("width", [1, 56, 100, 5000])
def test_no_line_is_wider_than_the_terminal_and_no_word_is_lost(width):
    text = printed("--width", str(width))
    assert max(map(len, text.splitlines())) <= min(max(width, 56), 120)
    assert " ".join(text.split()) == " ".join(printed("--width", "120").split())


def test_house_rules_stand_with_the_value_now_and_where_it_started():
    keep_house_rules(values={"hair_warm_c": 175}, shown=HouseRule.objects.current(), by=OwnerFactory())
    flat = " ".join(printed("--subject", "heat").split())
    assert "Heat on human hair needs care from: 175 °C (started at 180 °C)" in flat
    assert "347 °F" in " ".join(printed("--subject", "heat", "--units", "imperial").split())


def test_without_a_database_the_start_values_are_shown_and_that_is_said(monkeypatch):
    def no_table(self):
        raise OperationalError("no such table")

    monkeypatch.setattr("fittings.models.house_rule.HouseRuleQuerySet.current", no_table)
    text = printed("--subject", "heat")
    assert "their start values are shown" in text
    assert "180 °C" in text


def test_a_day_that_is_none_is_refused_in_words():
    with pytest.raises(CommandError, match=r"“tomorrow” is not a date\. Write one as 2026-01-31"):
        printed("--on", "tomorrow")
