"""The loss map: painted, or typed zone by zone without a script and without dragging."""

import json

import numpy as np
import pytest

from clients.assessing import save_map
from clients.scalp.grid import INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.regions import ZONE_OF_CELL, ZONES, loss_map_from_zones

pytestmark = pytest.mark.django_db

CROWN = [zone.key for zone in ZONES].index("crown")


def as_shown(page, **typed):
    """What the page's form would post with its script turned off, some zones typed anew."""
    form = page.context["form"]
    shown = {field.html_name: field.value() for field in form.zone_fields}
    return {**shown, "density_hex": form["density_hex"].value(), **typed}


def test_zones_typed_in_the_table_make_the_map(step, visit):
    typed = {f"zone_{zone.key}": 100 for zone in ZONES} | {"zone_crown": 20, "zone_front": 60}
    step("map", as_shown(step("map"), **typed))
    visit.assessment.refresh_from_db()
    expected = loss_map_from_zones({zone.key: 100 for zone in ZONES} | {"crown": 20, "front": 60})
    assert visit.assessment.density_hex == expected.to_hex()
    assert visit.assessment.map_painted


def test_a_zone_left_alone_keeps_what_was_painted_in_it(step, visit, stylist):
    painted = pattern_start("part", Head.from_tapes())
    save_map(assessment=visit.assessment, revision=0, by=stylist, density_hex=painted.to_hex())
    step("map", as_shown(step("map"), zone_crown="10"))
    visit.assessment.refresh_from_db()
    stored = LossMap.from_hex(visit.assessment.density_hex).density
    assert (stored[ZONE_OF_CELL == CROWN] == 10).all()
    others = INSIDE & (ZONE_OF_CELL != CROWN)
    np.testing.assert_array_equal(stored[others], np.rint(painted.density[others]))


def test_what_was_painted_counts_before_the_table(step, visit):
    painted = pattern_start("temples", Head.from_tapes()).to_hex()
    step("map", {"density_hex": painted, "zone_crown": "5"})
    visit.assessment.refresh_from_db()
    assert visit.assessment.density_hex == painted


def test_sending_the_page_back_as_it_was_changes_nothing(step, visit):
    assert step("map", as_shown(step("map"))).status_code == 302
    visit.assessment.refresh_from_db()
    assert (visit.assessment.revision, visit.assessment.map_painted) == (0, False)


def test_a_zone_over_a_hundred_is_refused_beside_it(step):
    said = step("map", as_shown(step("map"), zone_nape="120"), by_itself=True)
    assert said.json()["errors"] == {"div_id_zone_nape": ["Write a whole number from 0 to 100, or leave it empty."]}


@pytest.mark.parametrize("hex_text", ["", "64" * 10, "zz" * 4096, "65" * 4096, "64" * 9000])
def test_a_map_that_can_not_be_read_is_refused_in_a_sentence(step, hex_text):
    said = step("map", {"density_hex": hex_text}, by_itself=True)
    assert said.json()["outcome"] == "refused"
    assert said.json()["errors"][""][0].endswith(".")


def test_the_share_that_is_gone_follows_the_save(step, visit):
    said = step("map", {"density_hex": "00" * 4096}, by_itself=True)
    beside = said.json()["beside"].replace("\N{NO-BREAK SPACE}", " ")
    assert "100 % of her scalp hair is gone: top 100 %, left 100 %, right 100 %, back 100 %" in beside


def test_the_head_gets_this_clients_shape_its_zones_and_every_pattern(step, visit):
    page = step("map")
    html = page.content.decode()
    assert 'data-axes="93.' in html
    assert "<title>Loss map: percent of hair remaining by zone</title>" in html  # the flat drawing, for no script
    assert len(page.context["zone_text"]) == 64 * 64
    starts = json.loads(page.context["patterns"])
    assert starts.keys() == {pattern.key for pattern in PATTERNS}
    assert all(LossMap.from_hex(start["hex"]) and start["label"] for start in starts.values())
