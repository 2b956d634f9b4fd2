"""A finished visit is sold at the till: deposit, discount with a reason, a part, the rest, the receipt."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from fittings.models import OwnedPiece, Service
from pieces.models import Payment, Receipt, Sale
from tests.browser.test_every_page_is_accessible import small_targets, sticking_out
from tests.factories import DeskFactory, OwnerFactory
from tests.fittings.factories import AppointmentFactory
from tests.fittings.paper.papers import decided_visit, finished
from tests.fittings.till.test_sale_pages import held_for
from tests.pieces.factories import PaymentFactory, PricedServiceFactory, SaleFactory, TaxRateFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SIZES = {
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True},
    "tablet": {"viewport": {"width": 820, "height": 1180}, "has_touch": True},
    "laptop": {"viewport": {"width": 1366, "height": 768}},
}


@pytest.fixture
def visit(db):
    """Finished, with a piece chosen and a cut-in done; her deposit is held."""
    visit = decided_visit()
    PricedServiceFactory(name="Cut-in", price_minor=8500, done_as="cut-in")
    TaxRateFactory(name="Standard rate", is_usual=True)
    done = {"planned_by": visit.stylist, "done_by": visit.stylist, "done_at": now()}
    Service.objects.create(fitting=visit, kind="cut-in", **done)
    held_for(visit.client, amount_minor=5000)
    return finished(visit)


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_finished_visit_is_sold_with_a_deposit_a_discount_a_part_and_the_rest(
    visit, size, signed_in_page, live_server
):
    page = signed_in_page(visit.stylist, **SIZES[size])
    page.goto(live_server.url + reverse("consult-summary", args=[visit.reference]))
    page.get_by_role("link", name="To the till").click()
    piece = page.locator(".line-asked").filter(has_text="U-")
    expect(page.locator(".line-asked")).to_have_count(2)
    piece.get_by_text("Discount", exact=True).click()
    piece.get_by_label("Discount on the line").fill("49")
    page.get_by_role("button", name="She agrees: write it down").click()
    expect(page.get_by_text("Write why a discount is given.")).to_be_visible()
    expect(piece.get_by_label("Discount on the line")).to_have_value("49")
    assert not Sale.objects.exists()
    piece.get_by_label("Why it is given").fill("Shown at the fair")
    piece.get_by_label("Why it is given").press("Enter")  # reckons, and agrees to nothing
    expect(page.get_by_text("£1,285.00, with £214.17 of tax in it")).to_be_visible()
    page.get_by_role("button", name="She agrees: write it down").click()

    page.get_by_role("button", name="Let it count towards this sale").click()
    expect(page.get_by_label("How much").first).to_have_value("£1,235.00")
    page.get_by_label("How much").first.fill("235")
    page.get_by_role("radio", name="Card").first.check()
    page.get_by_role("button", name="Taken: write the receipt").click()
    expect(page.get_by_text("£235.00 taken. Receipt 2.")).to_be_visible()
    page.get_by_role("radio", name="Cash").first.check()
    page.get_by_role("button", name="Taken: write the receipt").click()
    expect(page.get_by_text("£1,000.00 taken. Receipt 3.")).to_be_visible()
    page.get_by_role("button", name="She takes it with her").click()
    expect(page.get_by_text("stands among her pieces")).to_be_visible()
    expect(page.get_by_text("✓ paid")).to_be_visible()

    answer = page.request.get(live_server.url + page.get_by_role("link", name="Receipt 3").get_attribute("href"))
    assert answer.body().startswith(b"%PDF")
    assert [*Receipt.objects.order_by("number").values_list("number", flat=True)] == [1, 2, 3]
    assert sum(Payment.objects.values_list("amount_minor", flat=True)) == 128_500
    assert OwnedPiece.objects.get().client == visit.client


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
def test_the_pages_of_the_till_are_clean_at_every_size_in_the_dark_too(visit, size, signed_in_page, live_server):
    sale = PaymentFactory(sale=SaleFactory(client=visit.client)).sale
    of_her = [visit.client.reference]
    addresses = [
        reverse("sale-new", args=of_her) + f"?visit={visit.reference}",
        sale.get_absolute_url(),
        reverse("sales"),
        reverse("deposits"),
        reverse("deposit-new", args=of_her),
        reverse("statement", args=of_her),
        reverse("price-list"),
        reverse("priced-service-new"),
        reverse("tax-rates"),
        reverse("tax-rate-new"),
    ]
    for scheme in ("light", "dark"):
        page = signed_in_page(OwnerFactory(), **SIZES[size], color_scheme=scheme)
        for address in addresses:
            page.goto(live_server.url + address)
            for summary in page.locator("main summary").all():
                summary.click()
            found = Axe().run(page)
            assert not found.response["violations"], f"{address}, {scheme}: {found.generate_report()}"
            assert not small_targets(page), address
            assert not sticking_out(page), address


def test_the_appointments_deposit_is_taken_with_one_press(signed_in_page, live_server):
    appointment = AppointmentFactory(deposit_minor=2000)
    page = signed_in_page(DeskFactory(), **SIZES["tablet"])
    page.goto(live_server.url + reverse("appointment", args=[appointment.reference]))
    page.get_by_role("group", name="Deposit of £20.00 taken").get_by_role("button", name="Card").click()
    expect(page.get_by_text("Deposit taken: £20.00. Receipt 1.")).to_be_visible()
    expect(page.get_by_role("link", name="Receipt 1 (PDF)")).to_be_visible()
