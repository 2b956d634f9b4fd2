"""Her pieces by presses: looked over with photos, away and back, one lent meanwhile, two in turns, and the end of one.

Each walk sends something wrong once: a sentence says what, and all that was typed is still there.
"""

import re
from datetime import timedelta

import pytest
from django.utils.timezone import localdate
from playwright.sync_api import expect

from fittings.models import ConditionCheck, Loan, OwnedPiece, Repair
from pieces.models import Unit
from tests.browser.test_every_page_is_accessible import PHONE, sticking_out, violations
from tests.clients.factories import tiny_picture
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import UnitFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DAY = timedelta(days=1)


@pytest.fixture
def owned():
    return OwnedPieceFactory(client=ClientFactory(record_consent=True, photo_consent=True))


@pytest.fixture
def open_piece(owned, signed_in_page, live_server):
    """`open_piece(user, **window)`: the page of the piece."""

    def open_it(user, **window):
        page = signed_in_page(user, **window)
        page.goto(live_server.url + owned.get_absolute_url())
        return page

    return open_it


def press(page, question, answer):
    page.get_by_role("group", name=question, exact=True).get_by_role("radio", name=answer, exact=True).click()


def test_it_is_looked_over_and_photographed(owned, open_piece):
    page = open_piece(StylistFactory(), **PHONE)
    page.get_by_role("link", name="Look it over").click()
    page.get_by_role("button", name="Keep it and take photos").click()
    expect(page.get_by_text("A check says how at least one part is, or what was seen.")).to_be_visible()
    assert not ConditionCheck.objects.exists()
    page.get_by_label("What was seen").fill("A knot gave way at the front")
    press(page, "Base: tears", "Lightly worn")
    press(page, "Colour: fading", "As new")
    page.get_by_role("button", name="Keep it and take photos").click()
    expect(page.get_by_text("The check is kept.")).to_be_visible()
    picture = {"name": "front.jpg", "mimeType": "image/jpeg", "buffer": tiny_picture()}
    page.get_by_label("Take a photo: Front").set_input_files([picture])
    expect(page.get_by_text("Taken: Front.")).to_be_visible()
    page.get_by_role("link", name=str(owned)).click()
    checks = page.get_by_role("region", name="How it was found")
    expect(checks.get_by_role("row", name="Base: tears")).to_contain_text("Lightly worn")
    photo = checks.get_by_role("row", name="Photos").get_by_role("img")
    photo.scroll_into_view_if_needed()
    expect(photo).to_have_js_property("naturalWidth", 48)

    checks.get_by_role("link", name=re.compile("^Correct")).click()
    press(page, "Base: tears", "Clearly worn")
    page.get_by_label("What was seen").fill("Two knots gave way at the front")
    page.get_by_role("button", name="Keep the check").click()
    expect(page.get_by_text("Write why it is corrected.")).to_be_visible()
    expect(page.get_by_label("What was seen")).to_have_value("Two knots gave way at the front")
    page.get_by_label("Why it is corrected").fill("Looked at under the lamp")
    page.get_by_role("button", name="Keep the check").click()
    expect(checks.get_by_role("row", name="Base: tears")).to_contain_text("Clearly worn")
    expect(photo).to_be_visible()
    assert ConditionCheck.objects.standing().get().photo_set.photos.count() == 1


def test_it_is_sent_to_be_repaired_and_taken_back(owned, open_piece):
    today = localdate()
    page = open_piece(DeskFactory())
    page.get_by_role("link", name="Send it to be repaired").click()
    page.get_by_label("What is repaired").fill("A tear behind the front edge")
    page.get_by_label("Who repairs it").fill("The lace mender")
    page.get_by_label("Expected back on").fill(str(today - DAY))
    page.get_by_role("button", name="It is sent").click()
    expect(page.get_by_text("It can't be expected back before it left.")).to_be_visible()
    expect(page.get_by_label("What is repaired")).to_have_value("A tear behind the front edge")
    expect(page.get_by_label("Expected back on")).to_have_value(str(today - DAY))
    page.get_by_label("Expected back on").fill(str(today + 9 * DAY))
    page.get_by_role("button", name="It is sent").click()
    expect(page.get_by_text(f"{owned} is away with The lace mender.")).to_be_visible()

    page.get_by_role("link", name="It came back").click()
    page.get_by_label("How it came back").fill("Mended, and two knots tied anew")
    page.get_by_label("What it cost").fill("about thirty")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("is not an amount")).to_be_visible()
    expect(page.get_by_label("How it came back")).to_have_value("Mended, and two knots tied anew")
    expect(page.get_by_label("What it cost")).to_have_value("about thirty")
    page.get_by_label("What it cost").fill("32.50")
    page.get_by_role("button", name="Keep it").click()
    repairs = page.get_by_role("region", name="Repairs")
    expect(repairs.get_by_text("Found: Mended, and two knots tied anew")).to_be_visible()
    expect(repairs.get_by_role("link", name="Send it to be repaired")).to_be_visible()
    assert Repair.objects.get().cost_minor == 3250


def test_she_is_lent_one_meanwhile_and_it_comes_back(owned, open_piece):
    unit, today = UnitFactory(), localdate()
    page = open_piece(DeskFactory(), **PHONE)
    page.get_by_role("link", name="Lend her one meanwhile").click()
    page.get_by_label("Number of the unit").fill("U-NOSUCH")
    page.get_by_label("Note").fill("With its stand")
    page.get_by_role("button", name="Lend it").click()
    expect(page.get_by_text("There is no unit U-NOSUCH.")).to_be_visible()
    expect(page.get_by_label("Note")).to_have_value("With its stand")
    page.get_by_label("Number of the unit").fill(unit.number.lower().replace("-", " "))
    page.get_by_role("button", name="Lend it").click()
    expect(page.get_by_text(f"Unit {unit.number} is lent to {owned.client}")).to_be_visible()
    page.get_by_role("link", name="All loans").click()

    row = page.get_by_role("listitem").filter(has_text=unit.number)
    row.get_by_label("Came back on").fill(str(today + DAY))
    row.get_by_role("button", name="Came back").first.click()
    expect(row.get_by_text("write the day it came back, from then to today")).to_be_visible()
    expect(row.get_by_label("Came back on")).to_have_value(str(today + DAY))
    assert violations(page) + sticking_out(page) == []
    row.get_by_label("Came back on").fill(str(today))
    row.get_by_role("button", name="Came back").first.click()
    expect(page.get_by_text(f"Unit {unit.number} lies in the drawer again.")).to_be_visible()
    expect(page.get_by_text("No unit is lent.")).to_be_visible()
    assert Loan.objects.get().instead_of == owned


def test_two_take_turns_and_one_of_them_ends(owned, open_piece):
    other, third = OwnedPieceFactory(client=owned.client), OwnedPieceFactory(client=owned.client)
    stylist = StylistFactory()
    page, left_open = open_piece(stylist), open_piece(stylist)
    page.get_by_role("button", name=f"Takes turns with {other.unit.variant.piece}").click()
    expect(page.get_by_text("The two take turns: each rests while the other is worn.")).to_be_visible()
    left_open.get_by_role("button", name=f"Takes turns with {third.unit.variant.piece}").click()
    expect(left_open.get_by_text("already; end that first.")).to_be_visible()
    left_open.get_by_role("button", name="They no longer take turns").click()
    expect(left_open.get_by_text("It takes turns with none.")).to_be_visible()
    left_open.get_by_role("button", name=f"Takes turns with {third.unit.variant.piece}").click()
    expect(left_open.get_by_role("link", name=third.reference)).to_be_visible()

    page.get_by_role("link", name="She no longer has it").click()
    page.get_by_label("Note").fill("Her hair grew back at the front")
    page.get_by_role("button", name="It is no longer hers").click()
    expect(page.get_by_text("Press why she no longer has it.")).to_be_visible()
    expect(page.get_by_label("Note")).to_have_value("Her hair grew back at the front")
    press(page, "Why", "Given back to the salon")
    page.get_by_role("button", name="It is no longer hers").click()
    expect(page.get_by_text("is no longer hers: given back to the salon")).to_be_visible()
    expect(page.get_by_role("link", name="Look it over")).to_have_count(0)
    ended, kept = OwnedPiece.objects.get(pk=owned.pk), OwnedPiece.objects.get(pk=third.pk)
    assert (ended.partner, kept.partner) == (None, None)
    assert ended.unit.state == Unit.State.DRAWER
