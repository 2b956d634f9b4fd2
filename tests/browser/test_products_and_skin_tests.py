"""A product is listed, tested on a client's skin and read, each by presses and with something wrong at first."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localtime, now
from playwright.sync_api import expect

from clients.models import Product, SkinTest
from tests.browser.test_every_page_is_accessible import PHONE
from tests.factories import ClientFactory, ProductFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FOR_THE_FIELD = "%Y-%m-%dT%H:%M"


def test_a_new_product_is_listed_with_what_its_label_names(staff_page, live_server):
    ProductFactory(name="Weir tape")
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("products"))
    page.get_by_role("link", name="Add a product").click()
    page.get_by_label("Name").fill("weir tape")
    page.get_by_label("Sort").select_option("Adhesive")
    page.get_by_label("Latex").check()
    page.get_by_label("Works by oxidation").select_option("No")
    page.get_by_label("Flammable").select_option("Yes")
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_text("tick that the label was read as well")).to_be_visible()
    page.get_by_label("The label was read for them").check()
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_text("A product of that name is listed already.")).to_be_visible()
    expect(page.get_by_label("Name")).to_have_value("weir tape")
    expect(page.get_by_label("Sort")).to_have_value("adhesive")
    expect(page.get_by_label("Latex")).to_be_checked()
    expect(page.get_by_label("Flammable")).to_have_value("yes")
    page.get_by_label("Name").fill("Weir glue, clear")
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_text("Weir glue, clear is on the list.")).to_be_visible()
    row = page.get_by_role("listitem").filter(has_text="Weir glue, clear")
    expect(row.get_by_text("names latex")).to_be_visible()
    assert Product.objects.get(name="Weir glue, clear").oxidative is False


def test_a_listed_product_is_tested_on_her_skin_and_read(staff_page, live_server):
    ProductFactory(name="Weir tape", read_after_hours=60, test_valid_days=90)
    her, at = ClientFactory(record_consent=True), localtime(now())
    too_long_ago, three_days_ago = (at - timedelta(days=days) for days in (8, 3))
    page = staff_page("Stylist", **PHONE)
    page.goto(live_server.url + reverse("client", args=[her.reference]))
    page.get_by_role("link", name="Apply or read a skin test").click()
    page.get_by_label("Product", exact=True).select_option("Weir tape")
    page.get_by_label("Lot number").fill("A-1107")
    page.get_by_label("Applied, if not just now").fill(too_long_ago.strftime(FOR_THE_FIELD))
    page.get_by_role("button", name="Write down").click()
    page.get_by_role("link", name="see what is to be put right").click()
    expect(page.get_by_text("It was applied within the last seven days, or just now")).to_be_in_viewport()
    expect(page.get_by_label("Product", exact=True)).to_have_value(str(Product.objects.get().pk))
    expect(page.get_by_label("Lot number")).to_have_value("A-1107")
    expect(page.get_by_label("Applied, if not just now")).to_have_value(too_long_ago.strftime(FOR_THE_FIELD))

    page.get_by_label("Applied, if not just now").fill(three_days_ago.strftime(FOR_THE_FIELD))
    page.get_by_role("button", name="Write down").click()
    test = page.get_by_role("region", name="Weir tape")
    expect(test.get_by_text("Not read yet")).to_be_visible()
    test.get_by_role("button", name="No reaction").click()
    expect(page.get_by_text("Weir tape: no reaction so far.")).to_be_visible()
    expect(test.get_by_text("90 days, as its maker says")).to_be_visible()
    read = SkinTest.objects.get()
    assert (read.known_product.name, read.lot, read.reacted) == ("Weir tape", "A-1107", False)
