"""Naming the pattern on the map's page: suggested from the map, pressed by the stylist, and read back."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.assessing import begin_assessment, save_map, sign_off
from clients.models import Assessment
from clients.models.assessment import NO_LOSS_HEX
from clients.scalp.head import Head
from clients.scalp.patterns import pattern_start
from clients.scalp.scales import SCALES
from fittings.timeline.client_rows import _assessment

pytestmark = pytest.mark.django_db

TOP = pattern_start("top-2", Head.from_tapes()).to_hex()
PATCHES = pattern_start("patches", Head.from_tapes()).to_hex()


def words(html):
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def stored(visit):
    return Assessment.objects.get(pk=visit.assessment_id)


def pressed(page):
    """The values of the stage buttons that are pressed."""
    inputs = re.findall(r'<input type="radio" name="named" value="([^"]*)"[^>]*>', page.content.decode())
    checked = re.findall(r'<input type="radio" name="named" value="([^"]*)"[^>]*checked>', page.content.decode())
    assert len(inputs) == 1 + sum(len(scale.stages) for scale in SCALES)
    return checked


def test_the_page_shows_every_stage_with_none_pressed_and_says_what_a_scale_is(step):
    page = step("map")
    assert pressed(page) == [""]
    said = words(page.content.decode())
    assert "A scale names a pattern that is seen" in said
    assert "the salon diagnoses nothing" in said
    assert "Br J Dermatol 97 (1977) 247-254" in said
    assert "Suggested from the map" not in said  # nothing is painted yet


def test_a_painted_map_suggests_and_sets_nothing(step, visit):
    beside = words(step("map", {"density_hex": TOP}, by_itself=True).json()["beside"])
    assert "Suggested from the map; you decide" in beside
    assert "Ludwig 1977, degree II , near. About 40 % of the hair is left in the middle of the top" in beside
    assert "Norwood–Hamilton 1975 The temples are kept" in beside
    assert (stored(visit).scale, stored(visit).stage) == ("", "")


def test_patches_suggest_no_stage_and_say_why(step):
    beside = words(step("map", {"density_hex": PATCHES}, by_itself=True).json()["beside"])
    assert "No stage of a scale comes near this map." in beside
    assert beside.count("separate patches with hair around them") == len(SCALES)


def test_a_suggested_length_is_in_the_readers_units(step, stylist):
    receded = pattern_start("temples", Head.from_tapes()).to_hex()
    beside = step("map", {"density_hex": receded}, by_itself=True).json()["beside"]
    assert "receded about 4.5\N{NO-BREAK SPACE}cm" in beside
    stylist.units = "imperial"
    stylist.save()
    beside = step("map", {"density_hex": PATCHES}, by_itself=True).json()["beside"]
    beside = step("map", {"density_hex": receded}, by_itself=True).json()["beside"]
    assert re.search(r"receded about 1 3/4.? ?in", words(beside).replace("″", " in")) or "in" in beside


def test_a_pressed_stage_is_kept_shown_and_taken_back(step, visit):
    step("map", {"density_hex": TOP, "named": "ludwig:II"})
    assert (stored(visit).scale, stored(visit).stage) == ("ludwig", "II")
    page = step("map")
    assert pressed(page) == ["ludwig:II"]
    assert "You named it so." in words(page.content.decode())
    step("map", {"density_hex": TOP, "named": ""})
    assert (stored(visit).scale, stored(visit).map_painted) == ("", True)


@pytest.mark.parametrize("value", ["ludwig:IV", "shells:1", "ludwig", ":", "x" * 500])
def test_a_stage_that_is_not_shown_is_refused_beside_the_stages(step, visit, value):
    said = step("map", {"density_hex": TOP, "named": value}, by_itself=True).json()
    assert said["errors"] == {"div_id_named": ["Choose one of those shown."]}
    assert stored(visit).density_hex == NO_LOSS_HEX


def test_what_a_page_did_not_send_stays_as_it_is(step, visit):
    """A browser that kept a pressed stage sends it alone; a page from before knows no stage."""
    step("map", {"density_hex": TOP, "named": "ludwig:II"})
    step("map", {"named": "sinclair:3"})
    assert (stored(visit).density_hex, stored(visit).scale) == (TOP, "sinclair")
    step("map", {"density_hex": PATCHES})
    assert (stored(visit).density_hex, stored(visit).stage) == (PATCHES, "3")


def test_a_stage_named_in_another_tab_meanwhile_is_not_overwritten(step, visit, stylist):
    base = step("map").context["starts_from"][1]
    save_map(assessment=stored(visit), revision=0, by=stylist, scale="ludwig", stage="I")
    said = step("map", {"density_hex": NO_LOSS_HEX, "named": "ludwig:II"}, by_itself=True, revision=0, base=base).json()
    assert said["outcome"] == "versions"
    assert "Ludwig 1977, degree II" in said["versions"]
    assert "Ludwig 1977, degree I</td>" in " ".join(said["versions"].split()).replace(" </td>", "</td>")
    assert stored(visit).stage == "I"


def signed(visit, stylist, at, **name):
    draft = save_map(assessment=stored(visit), revision=0, by=stylist, density_hex=TOP, **name)
    return sign_off(assessment=draft, by=stylist, at=at)


def test_what_was_signed_says_the_stage_and_that_it_is_no_diagnosis(client, visit, stylist):
    assessment = signed(visit, stylist, now(), scale="ludwig", stage="II")
    page = words(client.get(reverse("assessment", args=[assessment.reference])).content.decode())
    assert (
        "Pattern seen Ludwig 1977, degree II. The same part of the top is clearly thinner and the scalp shows. "
        "Named by the stylist; no diagnosis."
    ) in page
    assert ("Pattern seen", "Ludwig 1977, degree II") in _assessment(assessment, False).facts


def test_without_a_stage_nothing_is_said_of_one(client, visit, stylist):
    assessment = signed(visit, stylist, now())
    assert "Pattern seen" not in client.get(reverse("assessment", args=[assessment.reference])).content.decode()
    assert "Pattern seen" not in dict(_assessment(assessment, False).facts)


def test_the_next_examination_is_told_what_was_named_last_time(step, visit, stylist):
    long_ago = datetime(2024, 5, 3, 12, tzinfo=ZoneInfo("Europe/London"))
    signed(visit, stylist, long_ago, scale="sinclair", stage="3")
    visit.assessment = begin_assessment(client=visit.client, stylist=stylist, at=now())
    visit.save()
    page = step("map")
    assert "Last time, on 3 May 2024: Sinclair 2004, grade 3." in page.content.decode()
    assert pressed(page) == [""]


def test_a_stages_drawing_is_kept_by_the_browser_and_an_unknown_one_is_not_there(client, stylist):
    drawing = client.get(reverse("stage-drawing", args=["norwood", "III vertex"]))
    assert drawing["Content-Type"] == "image/svg+xml"
    assert "private" in drawing["Cache-Control"]
    assert b"Norwood" in drawing.content
    for unknown in (["norwood", "IX"], ["shells", "1"]):
        assert client.get(reverse("stage-drawing", args=unknown)).status_code == 404
