"""A sold piece comes back too late and worn: refused to the stylist, allowed by the owner, cleaned, and paid back."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now
from playwright.sync_api import expect

from fittings.models import OwnedPiece
from fittings.selling_home import hand_over_hers
from pieces.models import Receipt, Return, ReturnReason
from pieces.paying import take_payment
from salon.models import Salon
from tests.browser.test_every_page_is_accessible import PHONE
from tests.factories import ClientFactory, StylistFactory
from tests.pieces.factories import SaleFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def line():
    """Sold, paid and handed over three weeks ago."""
    then, by = now() - timedelta(days=21), StylistFactory()
    sale = SaleFactory(client=ClientFactory(record_consent=True), at=then, by=by)
    till = {"salon": Salon.objects.default(), "by": by, "at": then}
    take_payment(sale=sale, amount_minor=124_900, method="card", **till)
    ReturnReason.objects.get_or_create(name="Slips or does not hold")
    line = sale.lines.get()
    hand_over_hers(line=line, since=localdate(then), by=by, at=then)
    return line


def fill(page):
    page.get_by_role("link", name="Take it back").click()
    expect(page.get_by_text("Outside the terms")).to_be_visible()
    expect(page.get_by_text("The law comes first")).to_be_visible()
    page.get_by_label("Slips or does not hold").check()
    page.get_by_label("In her words").fill("It slides forward when she laughs")
    page.get_by_label("It was worn").check()
    page.get_by_label("To be cleaned").check()


def test_what_the_terms_refuse_the_owner_takes_back_with_a_reason(staff_page, live_server, line):
    page = staff_page("Stylist", **PHONE)
    page.goto(live_server.url + line.sale.get_absolute_url())
    fill(page)
    page.get_by_role("button", name="Take it back").click()
    refusal = page.get_by_role("alert")
    for sentence in ("after 21 days", "It was worn.", "an owner can take it back, with a reason"):
        expect(refusal).to_contain_text(sentence)
    expect(page.get_by_label("In her words")).to_have_value("It slides forward when she laughs")
    expect(page.get_by_label("It was worn")).to_be_checked()
    expect(page.get_by_label("To be cleaned")).to_be_checked()
    assert not Return.objects.exists()

    page = staff_page("Owner")
    page.goto(live_server.url + line.sale.get_absolute_url())
    fill(page)
    expect(page.get_by_label("Money back")).to_have_value("£1,249.00")
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("Write why it is taken back all the same.")).to_be_visible()
    page.get_by_label("Why it is taken back all the same").fill("The clip was loose from the first day")
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("£1,249.00 goes back: card, receipt 2.")).to_be_visible()
    expect(page.get_by_text("allowed it: The clip was loose from the first day")).to_be_visible()
    expect(page.get_by_role("link", name="Take it back")).to_have_count(0)

    line.unit.refresh_from_db()
    assert line.unit.state == "cleaning"
    assert OwnedPiece.objects.get(unit=line.unit).ended == "returned"
    receipt = Receipt.objects.get(number=2)
    answer = page.request.get(live_server.url + reverse("receipt", args=[receipt.number]))
    assert answer.headers["content-type"] == "application/pdf"
    page.goto(live_server.url + reverse("returns"))
    expect(page.get_by_text("“It slides forward when she laughs”")).to_be_visible()
