"""Care in a browser: telling somebody and taking that back in its place, and her own page of one button."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now
from playwright.sync_api import expect

from fittings.caring import make_wash_link, tell_wash, work_out_care
from fittings.models import CareDate, Wash
from tests.browser.test_every_page_is_accessible import DARK, PHONE, small_targets, sticking_out, violations
from tests.factories import DeskFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def owned():
    return OwnedPieceFactory(begun_by=StylistFactory())


def test_told_and_taken_back_where_it_stands(owned, signed_in_page, live_server):
    due = {"due_on": localdate() - timedelta(days=4), "worked_out_on": localdate()}
    CareDate.objects.create(owned_piece=owned, kind="check-up", **due)
    CareDate.objects.create(owned_piece=owned, kind="tape", **due)
    page = signed_in_page(DeskFactory())
    page.goto(live_server.url + reverse("care-due"))
    page.get_by_role("button", name="Told her").first.click()
    expect(page.get_by_role("button", name="Undo")).to_be_focused()
    expect(page.get_by_role("button", name="Told her")).to_have_count(1)
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("button", name="Told her")).to_have_count(2)
    assert not CareDate.objects.filter(told_at__isnull=False).exists()


def test_she_says_by_one_press_that_she_washed_it(owned, new_context, live_server):
    secret = make_wash_link(owned=owned, by=owned.begun_by, at=now())[1]
    page = new_context(**PHONE).new_page()
    page.goto(live_server.url + reverse("washed", args=[secret]))
    assert not violations(page)
    assert not small_targets(page)
    page.get_by_label("With deep care").check()
    page.get_by_role("button", name="I washed it today").click()
    expect(page.get_by_role("heading", name="Noted, thank you")).to_be_visible()
    assert Wash.objects.get().deep_care
    page.goto(live_server.url + reverse("washed", args=[secret]))
    page.get_by_role("button", name="I washed it today").click()
    expect(page.get_by_role("heading", name="Already noted, thank you")).to_be_visible()
    assert not violations(page)


@pytest.mark.parametrize("how", [PHONE, DARK], ids=["phone", "dark"])
def test_its_pages_are_for_everybody(how, owned, signed_in_page, live_server, subtests):
    work_out_care(owned=owned, on=localdate() - timedelta(days=60))  # some are overdue
    tell_wash(owned=owned, washed_on=localdate(), by=owned.begun_by, at=now())
    page = signed_in_page(owned.begun_by, **how)
    care = reverse("care-due")
    address = reverse("wash-link-new", args=[owned.reference])
    for path in (care, f"{care}?kind=order", f"{care}?kind=order&print=yes", owned.get_absolute_url(), address):
        with subtests.test(path):
            page.goto(live_server.url + path)
            assert not violations(page)
            assert not small_targets(page)
            assert not sticking_out(page)
    page.get_by_role("button", name="Make an address").click()
    expect(page.get_by_role("textbox", name="Address")).to_have_value(re.compile(r"/washed/[\w-]{43}/$"))
    assert not violations(page)
