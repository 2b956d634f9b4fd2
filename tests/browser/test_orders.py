"""Orders by presses: drafted, sent, taken in by two parcels, closed; and a special order whose day stands at the desk.

Each walk sends something wrong once: a sentence says what, and all that was typed is still there.
"""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now
from playwright.sync_api import expect

from fittings.models import AwaitedPiece
from pieces.models import MakerOrder, OrderLine, Payment, Unit
from tests.browser.test_every_page_is_accessible import DARK, PHONE, sticking_out, violations
from tests.factories import ClientFactory, DeskFactory, OwnerFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory
from tests.pieces.factories import MakerOrderFactory, OrderLineFactory, PieceFactory, VariantFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SOON = timedelta(days=9)


@pytest.fixture
def heron():
    return VariantFactory(piece=PieceFactory(name="Heron Weir"))


def test_drafted_sent_taken_in_by_two_parcels_and_closed(heron, signed_in_page, live_server):
    page = signed_in_page(OwnerFactory())
    page.goto(live_server.url + reverse("pieces"))
    page.get_by_role("link", name="Orders").click()
    page.get_by_role("link", name="New order").click()
    page.get_by_label("Maker").select_option("Marrowick Atelier")
    page.get_by_role("button", name="Begin a draft").click()
    expect(page.get_by_role("status")).to_contain_text("A draft to Marrowick Atelier is begun")

    page.get_by_role("button", name="It is sent").click()
    expect(page.get_by_text("Nothing stands on this order yet; put a piece on it first.")).to_be_visible()
    page.get_by_label("Words of the piece").fill("heron")
    page.get_by_role("button", name="Find").click()
    page.get_by_label("How many").fill("none")
    page.get_by_role("button", name="Put on Heron Weir").click()
    expect(page.get_by_role("alert")).to_have_text("Write a whole number from 1 to 500.")
    expect(page.get_by_label("How many")).to_have_value("none")
    page.get_by_label("How many").fill("5")
    page.get_by_role("button", name="Put on Heron Weir").click()
    lines = page.get_by_role("region", name="What stands on it")
    expect(lines).to_contain_text("5 × Heron Weir")
    page.get_by_label("Expected on").fill(f"{localdate() + SOON}")
    page.get_by_role("button", name="It is sent").click()
    expect(page.get_by_text("Sent on")).to_be_visible()

    for came, so_far in (("3", "3 of 5 came"), ("1", "4 of 5 came")):
        page.get_by_label(re.compile("^how many came of Heron Weir")).fill(came)
        page.get_by_role("button", name="Take in what is written").click()
        expect(lines).to_contain_text(so_far)
    expect(page.get_by_role("region", name="Units that came with it").get_by_role("row")).to_have_count(5)
    page.get_by_role("button", name="Close this order").click()
    expect(page.get_by_role("alert")).to_have_text("Write why nothing more will come.")
    page.get_by_label("Why nothing more will come").fill("No longer made")
    page.get_by_role("button", name="Close this order").click()
    expect(page.get_by_text("No longer made")).to_be_visible()
    assert MakerOrder.objects.get().state == "closed"
    assert Unit.objects.in_drawer().count() == 4


def test_a_special_order_stands_at_the_desk_until_it_is_in(heron, signed_in_page, live_server):
    ada, day = ClientFactory(), localdate() + SOON
    ServiceKindFactory(name="Fitting", purpose="fitting"), PlaceFactory()
    desk, owner = signed_in_page(DeskFactory(), **PHONE), signed_in_page(OwnerFactory())
    desk.goto(live_server.url + ada.get_absolute_url())
    desk.get_by_role("link", name="Order a piece for her").click()
    desk.get_by_label("Find it in the catalogue").fill("heron")
    desk.get_by_role("button", name="Find").last.click()
    desk.get_by_role("radio", name=re.compile("^Heron Weir")).check()
    desk.get_by_label("Note for the maker").fill("A softer front")
    desk.get_by_label("Deposit she leaves now").fill("£200")
    desk.get_by_role("button", name="Order it for her").click()
    expect(desk.get_by_text("Say how she pays the deposit")).to_be_visible()
    expect(desk.get_by_label("Note for the maker")).to_have_value("A softer front")
    expect(desk.get_by_role("radio", name=re.compile("^Heron Weir"))).to_be_checked()
    desk.get_by_role("radio", name="Card", exact=True).click(force=True)
    desk.get_by_role("button", name="Order it for her").click()
    expect(desk.get_by_role("region", name="On order for her")).to_contain_text("No day known.")
    assert Payment.objects.get().amount_minor == 20000

    owner.goto(live_server.url + OrderLine.objects.get().order.get_absolute_url())
    owner.get_by_label("Expected on").fill(f"{day}")
    owner.get_by_role("button", name="It is sent").click()
    expect(owner.get_by_text("Sent on")).to_be_visible()

    desk.goto(live_server.url + reverse("awaited-pieces"))
    expect(desk.get_by_role("list").get_by_text(f"Expected on {day:%A} {day.day} {day:%B}")).to_be_visible()
    desk.get_by_role("button", name=re.compile("^Came in")).click()
    expect(desk.get_by_role("status")).to_contain_text("is in.")
    assert AwaitedPiece.objects.get().in_at
    assert Unit.objects.get().reserved_for == ada


@pytest.mark.parametrize("window", [PHONE, DARK, {}], ids=["phone", "dark", "laptop"])
def test_every_state_of_an_order_is_accessible_and_sticks_nowhere_out(window, signed_in_page, live_server, subtests):
    sent = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=20), expected_on=localdate())
    part = OrderLineFactory(order=sent, variant__piece__name="Wensleydale Heron Long Name", count=40)
    OrderLineFactory(order=sent, for_client=ClientFactory(), count=1, note="A softer front, as she had it before")
    draft = OrderLineFactory(note="The soft edge").order
    page = signed_in_page(OwnerFactory(), **window)
    page.goto(live_server.url + sent.get_absolute_url())
    page.get_by_label(re.compile("Wensleydale")).fill("30")
    page.get_by_role("button", name="Take in what is written").click()
    expect(page.get_by_text("30 of 40 came")).to_be_visible()
    addresses = {
        "list": reverse("maker-orders"),
        "new": reverse("maker-order-new"),
        "on its way": sent.get_absolute_url(),
        "draft": f"{draft.get_absolute_url()}?q=heron",
        "special": f"{reverse('special-order', args=[sent.lines.last().for_client.reference])}?q=heron",
    }
    for name, address in addresses.items():
        with subtests.test(name):
            page.goto(live_server.url + address)
            for summary in page.locator("main summary").all():
                summary.click()
            assert violations(page) == []
            assert sticking_out(page) == []
    assert part.order == sent
