"""The owner on a Sunday evening: she looks at other days, opens a number, follows it to a rule, and drafts an order."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser import test_every_page_is_accessible as every_page
from tests.fittings.review.shop import ask_in_vain, small_shop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COMPLAINTS = (every_page.violations, every_page.sticking_out, every_page.small_targets, every_page.tables_that_scroll)


@pytest.fixture
def shop(db):
    shop = small_shop()
    ask_in_vain(shop, 1, 3)
    return shop


def test_from_a_number_to_its_rows_and_from_the_proposal_to_a_draft(shop, signed_in_page, live_server):
    page = signed_in_page(shop.owner)
    page.goto(live_server.url + reverse("today"))
    page.get_by_role("link", name="Review", exact=True).click()
    page.get_by_label("Days").select_option("24-months")
    page.get_by_label("Grouped by").select_option("fibre")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("img", name="From consult to kept, in consults")).to_be_visible()
    steps = page.get_by_role("table", name="From consult to kept")
    steps.get_by_role("row", name="That led to a sale").get_by_role("link", name="6", exact=True).click()
    expect(page.get_by_role("heading", name="Consults that led to a sale")).to_be_visible()
    expect(page.get_by_text("6 rows.")).to_be_visible()
    page.get_by_role("link", name="Review").last.click()
    expect(page.get_by_label("Grouped by")).to_have_value("fibre")
    page.get_by_role("link", name="What to order", exact=True).click()
    order = page.get_by_label("Order of").first
    order.fill("many")
    page.get_by_role("button", name="Draft the orders").click()
    expect(page.get_by_text("Write a whole number from 0 to 500.")).to_be_visible()
    expect(order).to_have_value("many")
    order.fill("7")
    page.get_by_role("button", name="Draft the orders").click()
    expect(page.get_by_text("is drafted. Look it through and send it.").first).to_be_visible()


@pytest.mark.parametrize("appearance", [{}, {"color_scheme": "dark"}, every_page.PHONE], ids=["light", "dark", "phone"])
def test_axe_finds_nothing_and_nothing_sticks_out(appearance, shop, signed_in_page, live_server, subtests):
    page = signed_in_page(shop.owner, **appearance)
    for query in ("review/", "review/?by=stylist&span=24-months", "review/?by=moon", "review/rows/?what=sold"):
        with subtests.test(query):
            page.goto(f"{live_server.url}/{query}")
            found = [line for complain in COMPLAINTS for line in complain(page)]
            assert not found, "\n".join(found)
