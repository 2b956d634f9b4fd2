"""Clients in a browser: quick find as one types, the way back, the line that opens in place, the turned screen."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.merging import merge_clients
from clients.models import Client, Consent
from clients.registering import change_client
from fittings.timeline.line import PAGE_LENGTH
from tests.factories import ClientFactory, DeskFactory, SkinTestFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


def test_typing_narrows_the_list_and_the_address_and_back_returns_to_it(staff_page, address):
    ClientFactory(given_name="Zoë", family_name="Quill")
    ClientFactory(given_name="Grace", family_name="Wren")
    page = staff_page("Front desk")
    page.goto(address("clients"))
    page.get_by_label("Name, phone, e-mail or reference").press_sequentially("zoe")
    expect(page.get_by_role("link", name="Grace Wren")).to_have_count(0)
    expect(page).to_have_url(address("clients") + "?q=zoe")
    page.get_by_role("link", name="Zoë Quill").click()
    expect(page.get_by_role("heading", name="Zoë Quill")).to_be_visible()
    page.go_back()
    expect(page.get_by_role("heading", name="Clients")).to_be_visible()  # the whole page, not the rows alone
    expect(page.get_by_label("Name, phone, e-mail or reference")).to_have_value("zoe")
    expect(page.get_by_role("link", name="Zoë Quill")).to_be_visible()
    expect(page.get_by_role("link", name="Grace Wren")).to_have_count(0)


def test_the_slash_key_finds_a_client_from_anywhere(staff_page, address):
    ClientFactory(given_name="Zoë", family_name="Quill")
    page = staff_page("Front desk")
    page.goto(address("help"))
    page.keyboard.press("/")
    page.keyboard.type("qui")
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="Zoë Quill")).to_be_visible()


def test_a_new_client_is_taken_in_and_signs_by_keyboard_alone(staff_page, address):
    ClientFactory(given_name="Ada", family_name="Wren")
    page = staff_page("Front desk")
    page.goto(address("client-new"))
    page.get_by_label("Given name").focus()
    for typed in ("Ada", "Wren", "07700900123"):
        page.keyboard.type(typed)
        page.keyboard.press("Tab")
    expect(page.get_by_text("Reads as 07700 900123")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Is she here already?")).to_be_focused()
    page.keyboard.press("Tab")  # who it may be
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="First, her consent")).to_be_visible()
    page.get_by_role("link", name="Ask for her consent").focus()
    page.keyboard.press("Enter")
    record = page.get_by_role("region", name="Keeping a record of my hair, scalp and health")
    record.get_by_label("Her name, typed by her as a signature").focus()
    page.keyboard.type("Ada Wren")
    page.keyboard.press("Enter")
    expect(record.get_by_text("Signed by Ada Wren")).to_be_visible()
    assert Consent.objects.get().client == Client.objects.latest("pk")


def test_two_records_are_found_merged_and_parted_by_keyboard_alone(staff_page, address):
    keep = ClientFactory(given_name="Ada", family_name="Wren", phone="07700 900123")
    gone = ClientFactory(given_name="Zoë", family_name="Quarry", phone="01632 960007")
    page = staff_page("Front desk")
    page.goto(address("client", keep.reference))
    page.get_by_role("link", name="Merge with another record of hers").press("Enter")
    page.get_by_label("Name, phone, e-mail or reference of the other record").press_sequentially("uarr")
    page.get_by_role("link", name="Zoë Quarry").press("Enter")
    page.get_by_role("group", name="Phone").get_by_label("01632 960007").press("Space")
    page.get_by_role("button", name="Merge the two").press("Enter")
    expect(page.get_by_role("heading", name=f"{gone.reference} went into Ada Wren")).to_be_visible()
    page.goto(address("client", gone.reference))
    expect(page).to_have_url(address("client", keep.reference))
    expect(page.get_by_text("01632 960007", exact=True)).to_be_visible()
    page.get_by_role("link", name=gone.reference).press("Enter")
    page.get_by_text("Undo this merge").press("Enter")
    page.get_by_role("button", name="Make them two records again").press("Enter")
    expect(page.get_by_text(f"{keep.reference} and {gone.reference} are two records again")).to_be_visible()
    page.goto(address("client", gone.reference))
    expect(page.get_by_role("heading", name="Zoë Quarry")).to_be_visible()


def test_a_row_opens_in_place_and_older_rows_follow(staff_page, address):
    her, clerk = ClientFactory(given_name="Ada", family_name="Wren"), DeskFactory()
    for number in range(PAGE_LENGTH + 1):
        change_client(client=her, by=clerk, phone=f"07700 90{number:04d}")
    page = staff_page("Front desk")
    page.goto(address("client", her.reference))
    row = page.get_by_role("listitem").filter(has_text="Details changed").first
    fact = row.get_by_text("07700 900019 → 07700 900020")
    expect(fact).to_be_hidden()
    row.locator("summary").click()
    expect(fact).to_be_visible()
    page.get_by_role("link", name="Older").click()
    expect(page.get_by_text("Registered")).to_be_visible()
    page.go_back()
    expect(page.get_by_text("Registered")).to_have_count(0)
    expect(page.get_by_role("heading", name="Ada Wren")).to_be_visible()


def test_the_turned_screen_shows_neither_the_note_nor_other_clients(staff_page, address):
    her = ClientFactory(given_name="Ada", family_name="Wren", private_note="Her sister drives her.")
    page = staff_page("Stylist")
    page.goto(address("client", her.reference))
    expect(page.get_by_text("Her sister drives her.")).to_be_visible()
    page.get_by_role("button", name="Turn to client").click()
    expect(page.get_by_text("Her sister drives her.")).to_be_hidden()
    expect(page.get_by_role("heading", name="Ada Wren")).to_be_visible()
    page.goto(address("clients"))
    expect(page.get_by_text("Ada Wren")).to_be_hidden()
    expect(page.get_by_text("The screen is turned to the client")).to_be_visible()


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [(390, 844), (820, 1180), (1366, 768)])
def test_no_page_of_hers_has_a_fault_that_axe_knows_or_is_wider_than_the_screen(staff_page, address, scheme, size):
    her = ClientFactory(record_consent=True, private_note="Tea, no milk.", preferred_name="Bibi")
    SkinTestFactory(client=her, at=now() - timedelta(hours=50))
    gone = ClientFactory(given_name="Ada", family_name="Wrenn", private_note="Coffee.")
    other = ClientFactory(given_name=her.given_name, family_name=her.family_name, private_note="Stairs.")
    merge = merge_clients(keep=her, gone=gone, by=DeskFactory(), at=now())
    page = staff_page("Owner", viewport={"width": size[0], "height": size[1]}, color_scheme=scheme)
    for name, *args in (
        ("clients",),
        ("client-new",),
        ("client", her.reference),
        ("client-edit", her.reference),
        ("client-consents", her.reference),
        ("client-skin-tests", her.reference),
        ("client-looks", her.reference),
        ("client-merge", her.reference),
        ("client-merge", f"{her.reference}?with={other.reference}"),
        ("merge", merge.reference),
    ):
        reference, _, query = "".join(args).partition("?")
        page.goto(address(name, *filter(None, [reference])) + (f"?{query}" if query else ""))
        found = Axe().run(page)
        assert found.violations_count == 0, f"{name}: {found.generate_report()}"
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), name
