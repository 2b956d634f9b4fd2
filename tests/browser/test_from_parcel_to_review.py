"""One piece from the maker's parcel to the owner's review: in, labelled, sold, taken back, and counted at each turn."""

import re

import pytest
from django.urls import reverse
from django.utils.timezone import localdate
from playwright.sync_api import expect

from fittings.models import OwnedPiece
from pieces.models import Return, ReturnReason, Unit
from tests.browser.test_every_page_is_accessible import PHONE
from tests.factories import ClientFactory, ConsentFactory, OwnerFactory
from tests.pieces.factories import MakerOrderFactory, OrderLineFactory, PieceFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("window", [PHONE, {}], ids=["phone", "laptop"])
def test_a_piece_comes_in_is_labelled_sold_and_taken_back_and_the_review_follows(window, signed_in_page, live_server):
    ReturnReason.objects.get_or_create(name="Shows at the front edge")
    ada = ConsentFactory(client=ClientFactory()).client
    line = OrderLineFactory(
        order=MakerOrderFactory(sent=True), variant__piece=PieceFactory(name="Heron Weir"), count=2, cost_minor=40000
    )
    page = signed_in_page(OwnerFactory(), **window)

    def review_says(sold, *, came_back):
        page.goto(live_server.url + reverse("review"))
        expect(page.locator("#kept")).to_contain_text(
            f"Pieces sold in these days: {sold}; of them came back since: {came_back}."
        )

    page.goto(live_server.url + line.order.get_absolute_url())
    page.get_by_label(re.compile("^how many came of Heron Weir")).fill("2")
    page.get_by_role("button", name="Take in what is written").click()
    expect(page.get_by_role("region", name="Units that came with it").get_by_role("row")).to_have_count(3)
    review_says(0, came_back=0)
    expect(page.locator("#drawers")).to_contain_text("Units for sale: 2, £800.00 at cost")

    first, second = Unit.objects.order_by("pk")
    page.goto(live_server.url + reverse("labels"))
    page.get_by_role("checkbox", name=re.compile(first.number)).check()
    page.get_by_role("checkbox", name=re.compile(second.number)).check()
    printed = page.request.get(
        live_server.url + reverse("labels-pdf") + f"?unit={first.number}&unit={second.number}&sheet=24&start=1"
    )
    assert printed.body().startswith(b"%PDF")
    page.goto(live_server.url + reverse("label", args=[first.number]))
    expect(page.get_by_role("heading", name=re.compile(first.number))).to_be_visible()

    page.goto(live_server.url + reverse("sale-new", args=[ada.reference]))
    page.get_by_label("Number of a unit").fill(first.number)
    page.get_by_label("Number of a unit").press("Enter")
    expect(page.locator(".line-asked")).to_contain_text("Heron Weir")
    page.get_by_role("button", name="She agrees: write it down").click()
    page.get_by_role("radio", name="Card").first.check(force=True)
    page.get_by_role("button", name="Taken: write the receipt").click()
    expect(page.get_by_text("✓ paid")).to_be_visible()
    page.get_by_role("button", name="She takes it with her").click()
    expect(page.get_by_text("stands among her pieces")).to_be_visible()
    review_says(1, came_back=0)
    expect(page.locator("#drawers")).to_contain_text("Units for sale: 1, £400.00 at cost")

    page.goto(live_server.url + OwnedPiece.objects.get().unit.sale_lines.get().sale.get_absolute_url())
    page.get_by_role("link", name=re.compile("^Take it back")).click()
    page.get_by_label("Shows at the front edge").check()
    page.get_by_label("To be cleaned").check()
    usual = page.get_by_label("Money back").input_value()
    page.get_by_label("Money back").fill("9999")
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("is the most that can be given back for it")).to_be_visible()
    page.get_by_label("Money back").fill(usual)
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("taken back").first).to_be_visible()
    assert Return.objects.get().in_policy
    assert not OwnedPiece.objects.current().exists()
    first.refresh_from_db()
    assert first.state == Unit.State.CLEANING
    review_says(1, came_back=1)
    expect(page.locator("#reasons")).to_contain_text("Shows at the front edge")
    assert first.movements.order_by("-seq")[0].at.date() <= localdate()
