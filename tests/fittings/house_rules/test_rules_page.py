"""The table of rules: found by subject, weight and words without a script, each with its anchor and house numbers."""

from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from fittings.candidates import rule_book
from fittings.keeping_house_rules import keep_house_rules
from fittings.models import HouseRule
from tests.factories import OwnerFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist(client):
    client.force_login(StylistFactory())
    return client


def shown(stylist, **asked):
    """The ids of the rules on the page."""
    page = stylist.get(reverse("rules"), asked)
    assert page.status_code == 200
    return {rule.id for rule, _ in page.context["rules"]}


def test_every_rule_has_an_anchor_a_source_and_a_date(stylist):
    page = unescape(stylist.get(reverse("rules")).content.decode())
    for rule in rule_book().in_force(localdate()):
        assert f'id="rule-{rule.id}"' in page
    assert "CAMEO materials encyclopaedia" in page
    assert "since 1 Jan 2024" in page


def test_the_table_is_narrowed_by_subject_weight_and_words(stylist):
    stops = {rule.id for rule in rule_book().in_force(localdate()) if rule.severity == "stop"}
    assert shown(stylist, weight="stop") == stops
    assert shown(stylist, subject="heat", weight="stop") == {one for one in stops if one.startswith("heat-")}
    assert shown(stylist, q="latex anaphylaxis") == {"adhesive-allergy"}
    assert shown(stylist, q="HEAT-RATED") == {"heat-rated"}
    assert shown(stylist, subject="weather", weight="heavy") == shown(stylist)


def test_words_that_no_rule_has_are_answered_in_words(stylist):
    page = stylist.get(reverse("rules"), {"q": "zeppelin"}).content.decode()
    assert "No rule has these words" in page
    assert 'value="zeppelin"' in page


def test_a_swap_gets_the_rules_alone(stylist):
    part = stylist.get(reverse("rules"), {"subject": "people"}, headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="rules-found"')
    assert "<html" not in part


def test_a_rule_shows_the_house_numbers_it_reads_and_who_changed_them(stylist):
    owner = OwnerFactory(first_name="Odile", last_name="Quill")
    keep_house_rules(values={"hair_warm_c": 175}, shown=HouseRule.objects.current(), by=owner)
    page = unescape(stylist.get(reverse("rules"), {"q": "heat-hair-warm"}).content.decode())
    assert "<strong>175 °C</strong>, started at 180 °C; changed" in page
    assert "by Odile Quill" in page
    numbers = {rule.id: rule.house_numbers for rule in rule_book().in_force(localdate())}
    assert numbers["heat-hair-warm"] == ("hair_warm_c",)
    assert numbers["clip-hold"] == ("clips_needed", "clip_hold_percent")
    assert numbers["refer"] == ()


def test_the_table_takes_the_same_queries_however_often_a_number_changed(stylist, queries_for):
    owner = OwnerFactory()
    keep_house_rules(values={"hair_warm_c": 175}, shown=HouseRule.objects.current(), by=owner)
    few = queries_for(reverse("rules"))
    for value in (15, 16, 17):
        keep_house_rules(values={"margin_mm": value}, shown=HouseRule.objects.current(), by=owner)
    assert queries_for(reverse("rules")) == few
