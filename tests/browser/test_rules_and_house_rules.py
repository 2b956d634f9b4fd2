"""The rules and the house numbers in a browser: found as one types and without a script, and two windows at once."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from fittings.models import HouseRule
from tests.factories import OwnerFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MARGIN = "Base reaches past the thinning on every side by"


def accessible(page):
    options = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
    return [one["id"] for one in Axe().run(page, options=options).response["violations"]]


def test_typing_narrows_the_rules_and_the_address(staff_page, live_server):
    page = staff_page("Stylist", viewport={"width": 390, "height": 844})
    page.goto(live_server.url + reverse("rules"))
    page.get_by_label("Words in it").press_sequentially("latex anaphylaxis")
    expect(page.get_by_role("status")).to_contain_text("1 of ")
    expect(page.get_by_role("article")).to_have_count(1)
    expect(page).to_have_url(live_server.url + reverse("rules") + "?q=latex%20anaphylaxis&subject=&weight=")
    page.get_by_label("Words in it").fill("")
    page.get_by_label("Weight").select_option("Notes")
    expect(page.locator("#rule-mri")).to_be_visible()
    expect(page.locator("#rule-heat-standard")).to_have_count(0)
    assert accessible(page) == []


def test_without_a_script_the_rules_are_found_by_a_press(staff_page, live_server):
    page = staff_page("Stylist", java_script_enabled=False)
    page.goto(live_server.url + reverse("rules"))
    page.get_by_label("Words in it").fill("nickel")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("#rule-nickel")).to_be_visible()
    expect(page.locator("#rule-heat-standard")).to_have_count(0)


def test_of_two_windows_the_later_is_shown_both_values_and_saves_when_it_is_meant(signed_in_page, live_server):
    address = live_server.url + reverse("house-rules")
    first, second = signed_in_page(OwnerFactory()), signed_in_page(OwnerFactory())
    for page in (first, second):
        page.goto(address)
    first.get_by_label(MARGIN).fill("15")
    first.get_by_role("button", name="seen from Placement").click()
    expect(first.get_by_text(f"Saved. {MARGIN}: 13 → 15 mm.")).to_be_visible()
    second.get_by_label(MARGIN).fill("14")
    second.get_by_label("Hot tools kept off the base").fill("a thumb")
    second.get_by_role("button", name="seen from Heat").click()
    expect(second.get_by_role("alert")).to_contain_text("what you typed is still here")
    second.get_by_label("Hot tools kept off the base").fill("12")
    second.get_by_role("button", name="seen from Heat").click()
    expect(second.get_by_text("Meanwhile this was changed from 13 to 15; you wrote 14.")).to_be_visible()
    assert accessible(second) == []
    second.get_by_role("button", name="seen from Heat").click()
    expect(second.get_by_text(f"Saved. {MARGIN}: 15 → 14 mm.")).to_be_visible()
    now = HouseRule.objects.current()
    assert (now["margin_mm"], now["near_base_mm"]) == (14, 12)


def test_the_history_of_a_number_leads_back(staff_page, live_server):
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("house-rules"))
    page.get_by_label(MARGIN).fill("½ in")
    page.get_by_role("button", name="seen from Placement").click()
    page.get_by_role("link", name=f"History of: {MARGIN}").click()
    expect(page.get_by_role("heading", name="Now 12.7 mm")).to_be_visible()
    page.get_by_role("button", name="Back to 13 mm, where it started").click()
    expect(page.get_by_role("heading", name="Now 13 mm")).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="12.7 → 13 mm")).to_be_visible()
    assert accessible(page) == []
