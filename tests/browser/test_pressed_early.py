"""A slow network: what is pressed or typed before htmx is there counts once it is, and is asked for once.

The script is held back until the test lets it go, so that no test depends on how fast a machine is.
"""

from datetime import time

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from fittings.models import OpeningHours, Place
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory
from tests.pieces.factories import PieceFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


class SlowNetwork:
    """A page that htmx is on its way to, and what htmx has asked for since it came."""

    def __init__(self, page):
        self.page, self.held, self.asked = page, [], []
        page.on("request", lambda request: "hx-request" in request.headers and self.asked.append(request.url))
        page.route("**/django_htmx/*.js", lambda route: self.held.append(route))  # Playwright takes no builtin here

    def goto(self, address):
        self.page.goto(address, wait_until="commit")
        expect(self.page.get_by_role("heading", level=1)).to_be_visible()
        return self.page

    def let_go(self):
        """The script arrives. Comes back when the page has been quiet for longer than any trigger waits."""
        self.held.pop().continue_()
        self.page.wait_for_load_state("networkidle")


@pytest.fixture
def slow(staff_page):
    return SlowNetwork(staff_page("Front desk"))


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


@pytest.fixture
def booking(address):
    """The address of a booking for somebody, in a salon that has a time for her."""
    for weekday in range(1, 8):
        OpeningHours.objects.create(weekday=weekday, opens=time(9), closes=time(18))
    ServiceKindFactory(name="Check-up", minutes=30, clean_up_minutes=0, purpose="check-up")
    ServiceKindFactory(name="Consult", minutes=90, clean_up_minutes=15, at_chair=False, at_basin=False)
    StylistFactory(first_name="Imke", last_name="Sandvik")
    PlaceFactory(name="The quiet room", sort=Place.Sort.ROOM)
    return f"{address('appointment-new')}?client={ClientFactory().reference}"


def test_a_kind_chosen_early_shows_its_times(booking, slow):
    page = slow.goto(booking)
    page.get_by_role("radio", name="Consult").check()
    page.get_by_role("radio", name="Mornings").check()
    slow.let_go()
    expect(page.get_by_role("heading", name="The next free times Consult")).to_be_visible()
    expect(page.get_by_role("radio", name="Mornings")).to_be_checked()
    assert len(slow.asked) == 1
    page.get_by_role("radio", name="Check-up").check()
    expect(page.get_by_role("heading", name="The next free times Check-up")).to_be_visible()
    assert len(slow.asked) == 2


def test_a_kind_that_the_browser_puts_back_shows_who_is_free(booking, address, slow):
    page = slow.goto(booking.replace(reverse("appointment-new"), reverse("walk-in")))
    slow.let_go()
    page.get_by_role("radio", name="Consult").check()
    expect(page.get_by_role("region", name="Who is free now")).to_contain_text("Consult")
    slow.goto(address("help"))
    slow.let_go()
    del slow.asked[:]
    page.go_back(wait_until="commit")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    slow.let_go()
    expect(page.get_by_role("radio", name="Consult")).to_be_checked()
    expect(page.get_by_role("region", name="Who is free now")).to_contain_text("Consult")
    assert len(slow.asked) == 1


def test_somebody_typed_early_is_found(address, slow):
    ClientFactory(given_name="Zoë", family_name="Quill")
    page = slow.goto(address("appointment-new"))
    page.get_by_label("Who is it for?").press_sequentially("qui")
    slow.let_go()
    expect(page.get_by_role("link", name="Zoë Quill")).to_be_visible()
    assert len(slow.asked) == 1


def test_a_search_typed_early_narrows_the_clients_and_the_address(address, slow):
    ClientFactory(given_name="Zoë", family_name="Quill")
    ClientFactory(given_name="Grace", family_name="Wren")
    page = slow.goto(address("clients"))
    page.get_by_label("Name, phone, e-mail or reference").press_sequentially("zoe")
    slow.let_go()
    expect(page.get_by_role("link", name="Grace Wren")).to_have_count(0)
    expect(page).to_have_url(address("clients") + "?q=zoe")
    assert len(slow.asked) == 1


def test_a_choice_made_early_narrows_the_pieces(address, slow):
    PieceFactory(name="Heron Weir")
    PieceFactory(name="Thimble Lane", fibre="standard")
    page = slow.goto(address("pieces"))
    page.get_by_label("Fibre").select_option("Standard synthetic")
    slow.let_go()
    expect(page.get_by_role("link", name="Heron Weir")).to_have_count(0)
    expect(page.get_by_role("link", name="Thimble Lane")).to_be_visible()
    assert len(slow.asked) == 1


def test_a_phone_number_typed_early_is_read_back(address, slow):
    page = slow.goto(address("client-new"))
    page.get_by_label("Phone").press_sequentially("07700900123")
    slow.let_go()
    expect(page.get_by_text("Reads as 07700 900123")).to_be_visible()
    assert len(slow.asked) == 1


@pytest.mark.parametrize("name", ["clients", "pieces", "units", "client-new"])
def test_a_page_that_nobody_touched_asks_for_nothing(address, slow, name):
    slow.goto(address(name) + "?q=zoe&fibre=standard")
    slow.let_go()
    assert slow.asked == []


def test_a_booking_that_nobody_touched_asks_for_nothing(booking, slow):
    page = slow.goto(f"{booking}&kind=consult")
    slow.let_go()
    expect(page.get_by_role("radio", name="Consult")).to_be_visible()
    assert slow.asked == []
