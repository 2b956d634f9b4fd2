"""A service is logged beside the chair: stopped by a rule and put right, and one that was done before is repeated."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from fittings.models import Service
from tests.browser.test_every_page_is_accessible import small_targets, sticking_out
from tests.fittings.services.scene import log, owned_by, visit_and_piece
from tests.fittings.services.test_serving import DYED, WALNUT, strand
from tests.fittings.test_trying import chosen_to_try
from tests.pieces.factories import VariantFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
LAPTOP = {"viewport": {"width": 1366, "height": 768}}


@pytest.fixture
def visit(db):
    return visit_and_piece(fibre="heat_friendly", rated_c=140)


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


def press(page, question, answer):
    """A pill, by its question and its word."""
    page.get_by_role("group", name=question, exact=True).get_by_role("radio", name=answer, exact=True).click()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_a_service_that_a_rule_stops_is_put_right_and_logged(visit, size, signed_in_page, address):
    fitting, owned = visit
    page = signed_in_page(fitting.stylist, **size)
    page.goto(address("owned-piece", owned.reference))
    page.get_by_role("navigation", name="Log what was done").get_by_role("link", name="Heat styling").click()
    expect(page.get_by_role("heading", name="Heat styling for")).to_be_visible()
    press(page, "Tool", "A tong")
    page.get_by_label("Set to").fill("180")
    for question in ("Hair wet or damp", "Close to knots, lace, polyurethane or tape", "Coloured or lightened before"):
        press(page, question, "No")
    press(page, "A remover or cleaner still wet on it", "No")
    said = page.locator("#service-said")
    expect(said.get_by_text(re.compile("the maker rates this fibre up to 140 °C")).first).to_be_visible()
    expect(said.get_by_text("An owner may let this pass")).to_be_visible()
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_text("Change the plan, or ask an owner")).to_be_visible()
    assert not Service.objects.exists()

    expect(page.get_by_label("Set to")).to_have_value("180")
    page.get_by_label("Set to").fill("130")
    page.get_by_label("Set to").press("Tab")
    expect(said.get_by_text("An owner may let this pass")).to_have_count(0)
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_text("Logged: heat styling.")).to_be_visible()
    expect(page.get_by_text("130 °C", exact=True)).to_be_visible()
    assert Service.objects.get().facts["tool_c"] == 130


def test_a_colour_is_repeated_with_one_press_and_its_lot_is_asked_anew(signed_in_page, address):
    fitting, owned = visit_and_piece(colourable="yes")
    strand(owned)
    facts = DYED | {"unit_coloured": "no", "unit_lightened_before": "no"}
    log(fitting, "colour", facts, WALNUT | {"developer_percent": 6.0, "developer_parts": 2.0}, owned_piece=owned)
    page = signed_in_page(fitting.stylist, **TABLET)
    page.goto(address("owned-piece", owned.reference))
    page.get_by_role("link", name="Repeat colour of").click()
    expect(page.get_by_text("Asked anew")).to_be_visible()
    expect(page.get_by_label("Product 1")).to_have_value("Walnut stain")
    expect(page.get_by_role("radio", name="6 % (20 vol)")).to_be_checked()
    expect(page.get_by_label("Minutes")).to_have_value("20")
    expect(page.get_by_label("Lot", exact=True).first).to_have_value("")
    page.get_by_label("Lot", exact=True).first.fill("L-311")
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_text("Logged: colour.")).to_be_visible()
    again = Service.objects.order_by("-pk")[0]
    assert again.details["lines"] == [{"product": "Walnut stain", "parts": 1.0, "lot": "L-311"}]
    assert again.details["strand_test"]["product"] == "Walnut stain"


@pytest.mark.parametrize("how", [PHONE, TABLET, LAPTOP | {"color_scheme": "dark"}], ids=["phone", "tablet", "dark"])
def test_every_page_of_services_can_be_used(how, signed_in_page, address, subtests):
    fitting, owned = visit_and_piece(colourable="yes")
    owned_by(fitting)
    chosen_to_try(fitting, VariantFactory())
    strand(owned)
    done = log(fitting, "cut-in", details={"cut": ["layers"], "taken_off_mm": 20.0}, owned_piece=owned)
    page = signed_in_page(fitting.stylist, **how)
    piece = f"?piece={owned.reference}"
    pages = [
        address("service-log", fitting.reference, kind) + piece for kind in ("cut-in", "colour", "tape set", "clips")
    ]
    pages += [address("service-log", fitting.reference, "clips"), address("services", fitting.reference)]
    pages += [address("service-correct", fitting.reference, done.pk), address("strand-test", owned.reference)]
    for path in pages:
        with subtests.test(path.partition("/fittings")[2]):
            page.goto(path)
            page.wait_for_load_state("load")
            found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
            assert not found, [(rule["id"], [node["html"][:120] for node in rule["nodes"]]) for rule in found]
            assert not sticking_out(page)
            assert not small_targets(page)
