"""A refused form on a phone: it opens at what is wrong, and a press leads to the field, with a script and without."""

import pytest
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.services.scene import visit_and_piece

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 780}}


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


def is_led_to_what_is_wrong(page, label):
    above = page.locator(".alert", has_text="Look again at:")
    expect(above).to_be_focused()
    expect(above).to_be_in_viewport()
    above.get_by_role("link", name=label).click()
    field = page.get_by_label(label, exact=True)
    expect(field).to_be_focused()
    expect(field).to_be_in_viewport()


@pytest.mark.parametrize("script", [True, False])
@pytest.mark.parametrize("made", [True, False])
def test_her_record(staff_page, address, script, made):
    page = staff_page("Front desk", java_script_enabled=script, **PHONE)
    page.goto(address("client-edit", ClientFactory().reference) if made else address("client-new"))
    page.get_by_label("Given name").fill("Ada")
    page.get_by_label("Family name").fill("Wren")
    page.get_by_label("E-mail").fill("no address")
    page.get_by_role("button", name="Save").click()
    is_led_to_what_is_wrong(page, "E-mail")


@pytest.mark.parametrize("script", [True, False])
def test_what_is_done_in_a_fitting(signed_in_page, address, script):
    fitting, owned = visit_and_piece()
    page = signed_in_page(fitting.stylist, java_script_enabled=script, **PHONE)
    page.goto(address("service-log", fitting.reference, "cut-in") + f"?piece={owned.reference}")
    page.get_by_label("Price").fill("a little")
    page.get_by_role("button", name="Log it").click()
    is_led_to_what_is_wrong(page, "Price")


def test_a_step_of_the_examination_without_a_script(signed_in_page, address, javascript_errors):
    stylist = StylistFactory()
    fitting = begin_visit(client=ClientFactory(record_consent=True), stylist=stylist, at=now())
    page = signed_in_page(stylist, java_script_enabled=False, **PHONE)
    page.goto(address("consult-tapes", fitting.reference))
    page.get_by_label("Circumference").fill("a lot")
    page.get_by_role("button", name="Go on").click()
    is_led_to_what_is_wrong(page, "Circumference")
    assert len(javascript_errors) == 1
    javascript_errors.clear()  # the browser reports the refused page's status 422
