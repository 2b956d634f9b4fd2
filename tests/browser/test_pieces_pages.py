"""Browsing the catalogue and importing it, as only a browser shows it: swaps, the address, files that stay chosen."""

import os

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from pieces.catalogue.examples import example_file
from pieces.models import Piece
from salon.demo.catalogue_loading import load_catalogue
from tests.factories import OwnerFactory
from tests.pieces.factories import PieceFactory, VariantFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_typing_narrows_the_list_and_the_address_and_back_undoes_it(staff_page, live_server):
    PieceFactory(name="Heron Weir")
    PieceFactory(name="Thimble Lane", fibre="standard")
    page = staff_page("Stylist")
    page.goto(live_server.url + reverse("pieces"))
    page.get_by_label("Name, maker, base or shade").press_sequentially("heron")
    expect(page.get_by_role("link", name="Thimble Lane")).to_have_count(0)
    expect(page).to_have_url(live_server.url + reverse("pieces") + "?q=heron")
    page.get_by_label("Fibre").select_option("Standard synthetic")
    expect(page.get_by_text("No piece answers all of that.")).to_be_visible()
    expect(page).to_have_url(live_server.url + reverse("pieces") + "?q=heron&fibre=standard")
    page.go_back()
    expect(page.get_by_role("link", name="Heron Weir")).to_be_visible()
    expect(page.get_by_label("Name, maker, base or shade")).to_have_value("heron")
    expect(page.get_by_label("Fibre")).to_have_value("")
    page.get_by_role("link", name="Heron Weir").click()
    page.go_back()
    expect(page.get_by_role("heading", name="Pieces")).to_be_visible()
    expect(page.get_by_role("link", name="Heron Weir")).to_be_visible()


def test_files_stay_chosen_between_the_check_and_the_import(staff_page, live_server):
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("catalogue-import"))
    for label in ("Bases", "Shades", "Pieces"):
        page.get_by_label(label, exact=True).set_input_files(example_file(label.lower()))
    page.get_by_role("button", name="Check the files").click()
    expect(page.get_by_role("heading", name="This is what would change")).to_be_visible()
    assert not Piece.objects.exists()
    page.get_by_role("button", name="Import").click()
    expect(page.get_by_text("The catalogue is stored. Bases: 17 added")).to_be_visible()
    assert Piece.objects.count() == 64


def test_a_file_changed_after_the_check_is_checked_again(staff_page, live_server, tmp_path):
    file = tmp_path / "shades.csv"
    file.write_text("maker,code,name\nTollbar,sedge,Sedge\n")
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("catalogue-import"))
    page.get_by_label("Shades", exact=True).set_input_files(file)
    page.get_by_role("button", name="Check the files").click()
    expect(page.get_by_role("button", name="Import")).to_be_visible()
    file.write_text("maker,code,name\nTollbar,,Sedge\n")
    page.get_by_label("Shades", exact=True).set_input_files(file)
    page.get_by_role("button", name="Import").click()
    expect(page.get_by_role("heading", name="1 thing to mend first")).to_be_visible()
    expect(page.get_by_role("button", name="Import")).to_have_count(0)


def test_a_file_mended_on_disk_has_to_be_chosen_again_and_the_page_says_so(
    staff_page, live_server, tmp_path, javascript_errors
):
    file = tmp_path / "shades.csv"
    file.write_text("maker,code,name\nTollbar,,Sedge\n")
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("catalogue-import"))
    page.get_by_label("Shades", exact=True).set_input_files(file)
    page.get_by_role("button", name="Check the files").click()
    expect(page.get_by_role("heading", name="1 thing to mend first")).to_be_visible()
    file.write_text("maker,code,name\nTollbar,sedge,Sedge and more\n")
    mended_at = file.stat().st_mtime + 10  # the browser compares whole seconds, and a test is quicker than a person
    os.utime(file, (mended_at, mended_at))
    page.get_by_role("button", name="Check the files").click()
    expect(page.get_by_text("The files could not be sent.")).to_be_visible()
    page.get_by_label("Shades", exact=True).set_input_files(file)
    page.get_by_role("button", name="Check the files").click()
    expect(page.get_by_role("button", name="Import")).to_be_visible()
    expect(page.get_by_text("The files could not be sent.")).to_be_hidden()
    javascript_errors.clear()  # the browser itself reports the file that it would not send


def test_turned_to_the_client_the_cost_is_not_on_the_screen(staff_page, live_server):
    variant = VariantFactory(cost_minor=56123)
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("piece", args=[variant.piece_id]))
    expect(page.get_by_text("£561.23")).to_be_visible()
    page.get_by_role("button", name="Turn to client").click()
    expect(page.get_by_text("£561.23")).to_be_hidden()
    expect(page.get_by_text("£1,249.00")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_stands_in_the_way_of_anybody(staff_page, live_server, scheme):
    load_catalogue(by=OwnerFactory())
    page = staff_page("Owner", color_scheme=scheme)
    piece = Piece.objects.filter(variants__units__isnull=False).first()
    unit = piece.variants.filter(units__isnull=False).first().units.first()
    addresses = {
        "pieces": [], "piece": [piece.pk], "bases": [], "base": [piece.base_id], "shades": [], "units": [],
        "unit": [unit.number], "units-receive": [piece.pk], "catalogue-import": [], "catalogue-columns": [],
    }  # fmt: skip  # names and arguments
    for name, arguments in addresses.items():
        page.goto(live_server.url + reverse(name, args=arguments))
        found = Axe().run(page)
        assert found.violations_count == 0, f"{name}: {found.generate_report()}"
        width = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert width <= 0, f"{name} is wider than the screen"
