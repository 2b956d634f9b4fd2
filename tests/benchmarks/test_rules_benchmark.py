"""How long do all rules take over one plan, and reading the rule files, beside a view that does nothing?

Prints multiples of an empty view of the same run, through the whole stack of middleware as somebody signed in; asserts
no time. The plan is one of which everything is known but what a service would bring, so that rules hold, fail and ask.
"""

from statistics import median
from time import perf_counter

import pytest
from django.http import HttpResponse
from django.test import override_settings
from django.urls import path
from django.utils.timezone import localdate

from fittings.house_numbers import start_numbers
from fittings.rules.engine import Plan, load_rules
from fittings.rules.facts import FACTS
from tests.factories import StylistFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
TIMES = 200
READINGS = 20


def empty(request):
    return HttpResponse("")


urlpatterns = [path("empty/", empty)]


def seconds(deed, times):
    """The median, so that a busy machine's stutter does not count."""
    deed()
    spans = []
    for _ in range(times):
        begin = perf_counter()
        deed()
        spans.append(perf_counter() - begin)
    return median(spans)


def some_facts():
    """Of every fact the first word, the middle of its numbers, or yes; of an ironing and a colour half is unknown."""
    unknown = {"tool_c", "hair_is_wet", "colour_touches_skin", "adhesive_contains", "unit_lightened_before"}
    return {
        key: True
        if fact.kind == "yes/no"
        else (fact.low + fact.high) / 2
        if fact.kind == "number"
        else sorted(fact.values)[0]
        for key, fact in FACTS.items()
        if not fact.worked_out_from and key not in unknown
    } | {"fibre": "human", "planned_heat": "iron", "planned_colour": "lightener", "colour_on": "piece worn"}


@override_settings(ROOT_URLCONF=__name__)
def test_all_rules_over_one_plan_against_an_empty_view(client):
    client.force_login(StylistFactory())
    book, facts, numbers, today = load_rules(), some_facts(), start_numbers(), localdate()
    findings = book.check(Plan(facts), numbers, on=today)
    assert {bool(finding.asks) for finding in findings} == {True, False}
    view = seconds(lambda: client.get("/empty/"), TIMES)
    rules = seconds(lambda: book.check(Plan(facts), numbers, on=today), TIMES)
    reading = seconds(load_rules, READINGS)
    print(
        f"\nempty view {1000 * view:.2f} ms; {len(book.in_force(today))} rules over one plan of {len(facts)} facts"
        f" {1000 * rules:.2f} ms, {rules / view:.2f} times; reading the rule files {1000 * reading:.1f} ms,"
        f" {reading / view:.1f} times, once a process"
    )
