"""A maker's own list in a browser: mapped, looked at, mended, taken in, and again with new prices."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from pieces.models import MakerColumns, Variant
from tests.pieces.factories import BaseFactory, PieceFactory, ShadeFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

THE_FILE = re.compile("The file")
LIST = (
    "Style,Foundation,Shade name,Length (in),Retail,Note\n"
    "Heron Weir,Wicket 3,Deep warm brown,14,1249.00,\n"
    "Heron Weir,Wicket 3,Peacock,16,1349.00,\n"
    "Heron Weir,Wicket 3,Deep warm brown,18,much,\n"
)


@pytest.fixture
def maker(db):
    base = BaseFactory(name="Wicket 3", maker__name="Marrowick Atelier")
    ShadeFactory(maker=base.maker, code="walnut-husk", name="Deep warm brown")
    PieceFactory(base=base, name="Heron Weir")
    return base.maker


def choose(page, file, maker):
    page.get_by_label("Maker", exact=True).select_option(maker.name)
    page.get_by_label("What each line is about").select_option("variants")
    page.get_by_label(THE_FILE).set_input_files(file)
    page.get_by_role("button", name="Look at the file").click()


def is_clean(page):
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0


@pytest.mark.parametrize("window", [{}, {"viewport": {"width": 390, "height": 844}, "has_touch": True}])
def test_a_list_is_mapped_looked_at_mended_taken_in_and_taken_in_again(
    staff_page, live_server, tmp_path, maker, window
):
    page = staff_page("Owner", **window)
    page.goto(live_server.url + reverse("catalogue-import"))
    page.get_by_role("link", name="A maker’s own file").click()
    file = tmp_path / "list.csv"
    file.write_text(LIST)
    choose(page, file, maker)
    asked = page.get_by_role("group", name=re.compile("^Shade"))
    expect(asked.get_by_label("Column of the file")).to_have_value("")
    asked.get_by_label("Column of the file").select_option("Shade name")
    expect(page.get_by_role("group", name=re.compile("^Length")).get_by_label("Its bare numbers are")).to_have_value(
        "in"
    )
    is_clean(page)
    page.get_by_role("button", name="Look at the lines").click()
    expect(page.get_by_role("heading", name="2 things to mend first")).to_be_visible()
    expect(page.get_by_text("“much” is not an amount")).to_be_visible()
    is_clean(page)
    page.get_by_label("“peacock”").select_option("walnut-husk, Deep warm brown")
    page.get_by_role("button", name="Look at the lines").first.click()
    expect(page.get_by_role("heading", name="1 thing to mend first")).to_be_visible()
    assert not Variant.objects.exists()

    mended = tmp_path / "mended.csv"
    mended.write_text(LIST.replace("much", "1449.00"))
    page.get_by_label(THE_FILE).set_input_files(mended)
    page.get_by_role("button", name="Look at the lines").first.click()
    expect(page.get_by_role("heading", name="3 new, 0 changed, 0 as they were")).to_be_visible()
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_text("Taken in from Marrowick Atelier. Variants: 3 added")).to_be_visible()
    assert MakerColumns.objects.get().words == {"shade": {"peacock": "walnut-husk"}}

    dearer = tmp_path / "dearer.csv"
    dearer.write_text(LIST.replace("much", "1449.00").replace("1249.00", "1299.00"))
    choose(page, dearer, maker)
    expect(page.get_by_text("As it was said for this maker’s last file.")).to_be_visible()
    expect(page.get_by_text("price £1,249.00 → £1,299.00")).to_be_visible()
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_text("0 added, 1 changed, 2 as they were")).to_be_visible()
    variant = Variant.objects.get(length_mm=356)
    page.goto(live_server.url + reverse("piece", args=[variant.piece_id]))
    page.get_by_role("link", name="£1,299.00").click()
    expect(page.get_by_role("cell", name="£1,249.00")).to_be_visible()
    is_clean(page)


def test_a_file_that_is_none_gets_a_sentence_and_another_may_be_chosen(staff_page, live_server, tmp_path, maker):
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("maker-file"))
    picture, file = tmp_path / "picture.csv", tmp_path / "list.csv"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(64))
    file.write_text(LIST)
    choose(page, picture, maker)
    expect(page.get_by_text("This is a picture, not a text file.")).to_be_visible()
    is_clean(page)
    choose(page, file, maker)
    expect(page.get_by_role("heading", name="Which column is which")).to_be_visible()


def test_turned_to_the_client_nothing_of_the_file_is_on_the_screen(staff_page, live_server, tmp_path, maker):
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("maker-file"))
    file = tmp_path / "list.csv"
    file.write_text(LIST)
    choose(page, file, maker)
    expect(page.get_by_role("heading", name="Which column is which")).to_be_visible()
    page.get_by_role("button", name="Turn to client").click()
    expect(page.get_by_role("heading", name="Which column is which")).to_be_hidden()
    expect(page.get_by_text("The screen is turned to the client")).to_be_visible()
