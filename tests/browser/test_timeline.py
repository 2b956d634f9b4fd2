"""What happened stays on the line: it is narrowed by kind, struck out with a reason, and nothing done can be undone."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from fittings.models import Fitting, Service
from fittings.owning import tell_wear
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE, TABLET = {"width": 390, "height": 844}, {"width": 820, "height": 1180}


@pytest.fixture
def hers(db):
    """A piece whose heat was logged in a visit that is finished, and of which she told how she wears it."""
    owned, stylist = OwnedPieceFactory(), StylistFactory()
    yesterday = now() - timedelta(days=1)
    visit = Fitting.objects.create(
        client=owned.client, stylist=stylist, began_at=yesterday, finished_at=yesterday, finished_by=stylist
    )
    Service.objects.create(
        fitting=visit, owned_piece=owned, kind="heat", planned_by=stylist, done_by=stylist, done_at=yesterday
    )
    tell_wear(owned=owned, told_on=owned.since, by=stylist, at=yesterday, days_per_week=5)
    return owned


def row(page, word):
    return page.locator(".timeline > li").filter(has_text=word)


@pytest.mark.parametrize("viewport", [PHONE, TABLET])
def test_an_entry_made_by_mistake_is_struck_out_and_stays(hers, staff_page, live_server, viewport):
    page = staff_page("Stylist", viewport=viewport)
    page.goto(live_server.url + reverse("client", args=[hers.client.reference]))
    page.get_by_role("link", name="Services", exact=True).first.click()
    expect(row(page, "How she wears it")).to_have_count(0)
    row(page, "Heat styling").locator("summary").click()
    page.get_by_role("link", name="This was entered by mistake").click()
    page.get_by_role("button", name="Strike it out").click()
    expect(page.get_by_text("Write why")).to_be_visible()
    page.get_by_label("Why it should not").fill("It was another client's piece.")
    assert not Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    page.get_by_role("button", name="Strike it out").click()
    expect(page.get_by_role("status")).to_contain_text("Struck out.")
    expect(row(page, "Heat styling")).to_have_count(2)
    expect(row(page, "Struck out later: It was another client's piece.")).to_be_visible()
    assert Service.objects.count() == 2
    assert not Service.objects.done().exists()


def test_what_was_done_in_a_finished_visit_offers_no_way_to_take_it_back(hers, staff_page, live_server):
    page = staff_page("Stylist", viewport=TABLET)
    visit = Fitting.objects.get()
    page.goto(live_server.url + reverse("services", args=[visit.reference]))
    expect(page.get_by_text("Heat styling").first).to_be_visible()
    for word in ("Take away", "Remove", "Delete", "Undo"):
        expect(page.get_by_role("button", name=word)).to_have_count(0)
    token = page.locator("input[name=csrfmiddlewaretoken]").first.get_attribute("value")
    answer = page.request.post(
        live_server.url + reverse("service-remove", args=[visit.reference, Service.objects.get().pk]),
        form={"csrfmiddlewaretoken": token},
        headers={"Referer": live_server.url},
    )
    assert answer.ok  # a page that says why not
    assert Service.objects.done().count() == 1
