"""The tablet handed over: a client fills in, draws, sends; nothing behind her form can be reached. And at home."""

import json
from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.consenting import withdraw_by_link
from clients.intaking import send_intake
from clients.models import Consent, Intake, IntakeLink
from clients.signatures import PAD_HEIGHT
from fittings.visiting import begin_visit
from tests.browser.test_every_page_is_accessible import small_targets, sticking_out
from tests.clients.intake_scene import DRAWN, TOLD, adult, child, link_of
from tests.factories import ClientFactory, DeskFactory, StylistFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

UPRIGHT = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
RECORD = "Keeping a record of my hair, scalp and health"
REMEMBERED = {"ignore_default_args": ["--disable-back-forward-cache"]}


@pytest.fixture
def address(live_server):
    return lambda name, *args: live_server.url + reverse(name, args=args)


@pytest.fixture
def at_home(new_context, address):
    """`at_home(secret)`: her own window, in which nobody ever signed in."""

    def open_form(secret, **how):
        page = new_context(**how).new_page()
        page.goto(address("intake", secret))
        return page

    return open_form


def hand_over(page, address, her):
    page.goto(address("client", her.reference))
    page.get_by_role("link", name="Let her fill in and sign").click()
    page.get_by_role("button", name="Hand the tablet over").click()
    expect(page.get_by_role("heading", name=f"Hello {her.given_name}")).to_be_visible()


def choose(page, legend, answer):
    page.get_by_role("group", name=legend).get_by_label(answer, exact=True).check()


def no_to_the_rest(page):
    for legend in ("Photos kept in my record", "Photos shown outside the salon", "Reminders by message"):
        choose(page, legend, "No")


def draw(page, *strokes):
    """Strokes in shares of the pad's width."""
    pad = page.locator(".pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    for stroke in strokes:
        for number, (x, y) in enumerate(stroke):
            page.mouse.move(box["x"] + x * box["width"], box["y"] + y * box["width"], steps=4)
            if number == 0:
                page.mouse.down()
        page.mouse.up()


NAME = ([(0.1, 0.3), (0.2, 0.1), (0.3, 0.3)], [(0.4, 0.2), (0.7, 0.25)])


def test_handed_over_filled_in_drawn_sent_and_the_pages_behind_are_locked(staff_page, address):
    her = adult()
    page = staff_page("Front desk", **UPRIGHT)
    page.goto(address("clients"))
    hand_over(page, address, her)
    choose(page, RECORD, "Yes, I agree")
    no_to_the_rest(page)
    page.get_by_label("What would you like to tell us about your hair?").fill("It began after the winter.")
    page.get_by_label("Rubber gloves or balloons (latex)").check()
    page.get_by_label("Your full name").fill("Ada Wren")
    draw(page, *NAME)
    expect(page.get_by_text("Drawn.", exact=True)).to_be_visible()
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("heading", name="Thank you. Please hand the tablet back.")).to_be_visible()
    consent, intake = Consent.objects.get(), Intake.objects.get()
    assert (consent.signed_how, consent.signed_where, len(consent.signature)) == ("drawn", "tablet", 2)
    xs, ys = zip(*(point for stroke in consent.signature for point in stroke), strict=True)
    assert (min(xs), max(xs)) == pytest.approx((0.1, 0.7), abs=0.01)
    assert (min(ys), max(ys)) == pytest.approx((0.1, 0.3), abs=0.01)
    assert (intake.story, intake.substances) == ("It began after the winter.", ["latex"])
    for _ in range(3):
        page.go_back()
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        expect(page.get_by_text("Wren")).to_have_count(0)
    for name, arguments in (("today", []), ("clients", []), ("client", [her.reference])):
        page.goto(address(name, *arguments))
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()


def test_whoever_takes_the_tablet_back_signs_in_to_her_page(staff_page, address):
    her = adult()
    page = staff_page("Front desk", **UPRIGHT)
    hand_over(page, address, her)
    for legend in (RECORD, "Photos kept in my record", "Photos shown outside the salon", "Reminders by message"):
        choose(page, legend, "No")
    page.get_by_role("button", name="Sign and send").click()
    page.get_by_role("link", name="For staff: sign in").click()
    expect(page).to_have_url(address("sign-in") + f"?next={reverse('client', args=[her.reference])}")


def test_other_windows_of_the_tablet_are_left_too(staff_page, address):
    her = adult()
    page = staff_page("Stylist", **UPRIGHT)
    other = page.context.new_page()
    other.goto(address("client", her.reference))
    expect(other.get_by_role("heading", name="Ada Wren")).to_be_visible()
    hand_over(page, address, her)
    expect(other.get_by_role("heading", name="Sign in")).to_be_visible()


def test_a_page_kept_in_memory_is_not_shown_again(browser_type, browser_type_launch_args, address):
    """As browsers outside the tests do, which bring a page back without asking anybody."""
    from django.conf import settings

    from tests.browser.conftest import session_of

    her = adult()
    browser = browser_type.launch(**browser_type_launch_args, **REMEMBERED)
    context = browser.new_context(viewport=UPRIGHT["viewport"], locale="en-GB")
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session_of(DeskFactory()), "url": address("home")}
    context.add_cookies([cookie])
    page = context.new_page()
    page.goto(address("clients"))
    hand_over(page, address, her)
    for _ in range(2):
        page.go_back()
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        expect(page.get_by_text("Wren")).to_have_count(0)
    browser.close()


def test_what_was_never_saved_is_asked_about_and_never_left_on_the_tablet(staff_page, address):
    her = adult(record_consent=True)
    page = staff_page("Stylist", **UPRIGHT)
    page.goto(address("client-intake", her.reference))
    page.evaluate('localStorage.setItem(\'auto-save:A-1:story:0\', \'{"entries": [["story", "Private"]]}\')')
    page.get_by_role("button", name="Hand the tablet over").click()
    expect(page.get_by_role("heading", name="Some answers are only on this device")).to_be_visible()
    page.get_by_role("button", name="Keep the tablet").click()
    assert not IntakeLink.objects.exists()
    page.get_by_role("button", name="Hand the tablet over").click()
    page.get_by_role("button", name="Hand over and lose it").click()
    expect(page.get_by_role("heading", name="Hello Ada")).to_be_visible()
    assert page.evaluate("Object.keys(localStorage)") == []


def test_a_typed_name_signs_as_well_without_dragging(at_home):
    _, secret = link_of(adult())
    page = at_home(secret, **PHONE)
    page.get_by_role("group", name=RECORD).get_by_label("Yes, I agree").focus()
    page.keyboard.press("Space")
    no_to_the_rest(page)
    page.get_by_label("Your full name").fill("Ada Wren")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Already received, thank you")).to_be_visible()
    assert Consent.objects.get().signed_how == "typed"


def test_strokes_are_undone_and_cleared_and_stay_on_the_pad(at_home):
    _, secret = link_of(adult())
    page = at_home(secret)
    draw(page, *NAME, [(0.5, 0.2), (1.4, 0.9)])
    field = page.locator("[name=signature]")
    strokes = json.loads(field.input_value())
    assert len(strokes) == 3
    assert strokes[-1][-1] == [1, PAD_HEIGHT]
    page.get_by_role("button", name="Undo the last stroke").click()
    assert json.loads(field.input_value()) == strokes[:2]
    expect(page.locator(".pad polyline")).to_have_count(2)
    page.get_by_role("button", name="Clear").click()
    expect(field).to_have_value("")
    expect(page.get_by_role("button", name="Clear")).to_be_disabled()


def test_a_refusal_keeps_all_that_was_typed_and_drawn_and_is_put_right(at_home):
    _, secret = link_of(adult())
    page = at_home(secret, **UPRIGHT)
    choose(page, RECORD, "No")
    no_to_the_rest(page)
    page.get_by_label("What do you wish for?").fill("To swim again")
    draw(page, *NAME)
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("alert").filter(has_text="only be kept if you agree")).to_be_focused()
    expect(page.get_by_label("What do you wish for?")).to_have_value("To swim again")
    expect(page.locator(".pad polyline")).to_have_count(2)
    choose(page, RECORD, "Yes, I agree")
    page.get_by_label("Your full name").fill("Ada Wren")
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("heading", name="Already received, thank you")).to_be_visible()
    assert (Intake.objects.get().wishes, len(Consent.objects.get().signature)) == ("To swim again", 2)


def test_a_lost_connection_loses_nothing_and_nothing_is_kept_in_the_browser(at_home, javascript_errors):
    _, secret = link_of(adult())
    page = at_home(secret, **UPRIGHT)
    choose(page, RECORD, "Yes, I agree")
    no_to_the_rest(page)
    page.get_by_label("What would you like to tell us about your hair?").fill("It began after the winter.")
    page.get_by_label("Your full name").fill("Ada Wren")
    page.context.set_offline(True)
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("alert").filter(has_text="Not sent yet: there is no connection")).to_be_visible()
    expect(page.get_by_label("What would you like to tell us about your hair?")).to_have_value(
        "It began after the winter."
    )
    kept = page.evaluate("JSON.stringify([{ ...localStorage }, { ...sessionStorage }])")
    assert json.loads(kept) == [{}, {"htmx-current-path-for-history": reverse("intake", args=[secret])}]
    assert javascript_errors
    javascript_errors.clear()  # the connection was cut on purpose
    page.context.set_offline(False)
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("heading", name="Already received, thank you")).to_be_visible()
    assert Intake.objects.get().story == "It began after the winter."


def test_leaving_with_something_unsent_is_asked_about(at_home):
    _, secret = link_of(adult())
    page = at_home(secret)
    page.get_by_label("What do you wish for?").fill("To swim again")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.close(run_before_unload=True)
    page.wait_for_timeout(0)
    expect(page.get_by_label("What do you wish for?")).to_have_value("To swim again")
    assert asked == ["beforeunload"]


def test_a_link_whose_time_is_over_says_so_calmly(at_home, javascript_errors):
    _, secret = link_of(adult(), at=now() - timedelta(days=8))
    page = at_home(secret, **PHONE)
    expect(page.get_by_role("heading", name="This link opens nothing")).to_be_visible()
    expect(page.get_by_text("Please ask the salon for a new one")).to_be_visible()
    assert ["404" in error for error in javascript_errors] == [True]
    javascript_errors.clear()  # the page is answered with 404, on purpose


def test_a_link_that_runs_out_while_she_writes_leaves_what_she_wrote(at_home, javascript_errors):
    link, secret = link_of(adult())
    page = at_home(secret)
    page.get_by_label("What do you wish for?").fill("To swim again")
    at = now()
    IntakeLink.objects.filter(pk=link.pk).update(made_at=at - timedelta(days=8), expires_at=at - timedelta(days=1))
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("alert").filter(has_text="the time for this form is over")).to_be_visible()
    expect(page.get_by_label("What do you wish for?")).to_have_value("To swim again")
    assert not Intake.objects.exists()
    javascript_errors.clear()  # answered with 404, on purpose


def test_the_stylist_takes_it_over_and_what_she_typed_a_moment_ago_stays(signed_in_page, address):
    her, stylist = adult(record_consent=True), StylistFactory()
    send_intake(link=link_of(her)[0], answers=TOLD, agrees={}, at=now())
    visit = begin_visit(client=her, stylist=stylist, at=now())
    page = signed_in_page(stylist)
    page.goto(address("consult-story", visit.reference))
    page.get_by_label("Since when").fill("for two years")
    page.get_by_role("button", name="Take into the story").click()
    expect(page.get_by_label("What she tells")).to_have_value(
        f"{TOLD.story}\n\nWhat happened when her skin reacted: {TOLD.reaction}\n\n"
        f"What she says of her health: {TOLD.medicines}"
    )
    expect(page.get_by_label("Since when")).to_have_value("for two years")
    expect(page.get_by_text("Left as it was, for something is written there already: since when.")).to_be_visible()
    expect(page.get_by_label("Latex")).to_be_checked()


def test_a_signature_is_drawn_at_the_desk(staff_page, address):
    her = adult()
    page = staff_page("Front desk", **UPRIGHT)
    page.goto(address("client-consents", her.reference))
    record = page.get_by_role("region", name=RECORD)
    record.get_by_label("Her name, typed by her as a signature").fill("Ada Wren")
    record.get_by_text("Sign by hand").click()
    box = record.locator(".pad").bounding_box()
    page.mouse.move(box["x"] + 30, box["y"] + 80)
    page.mouse.down()
    page.mouse.move(box["x"] + 200, box["y"] + 60, steps=5)
    page.mouse.up()
    record.get_by_role("button", name="I agree and sign").click()
    expect(record.get_by_role("img", name="Signature of Ada Wren")).to_be_visible()


@pytest.mark.parametrize("how", [UPRIGHT, PHONE, UPRIGHT | {"color_scheme": "dark"}], ids=["tablet", "phone", "dark"])
def test_axe_finds_nothing_on_any_page_of_hers(how, at_home, address, javascript_errors):
    _, of_a_child = link_of(child())
    _, of_no_age = link_of(ClientFactory(born_on=None))
    used, sent = link_of(adult(), "tablet")
    send_intake(link=used, answers=TOLD, agrees={"record": True}, signed_name="Ada Wren", at=now())
    page = at_home(of_a_child, **how)
    page.get_by_role("button", name="Sign and send").click()
    expect(page.get_by_role("alert").filter(has_text="Not sent yet")).to_be_visible()
    for secret in ("", of_no_age, sent, "nothing"):
        if secret:
            page.goto(address("intake", secret))
        found = Axe().run(page, options={"rules": {"target-size": {"enabled": True}}}).response["violations"]
        assert [f"{rule['id']}: {node['html'][:120]}" for rule in found for node in rule["nodes"]] == []
        assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    javascript_errors.clear()  # the last address is answered with 404, on purpose


@pytest.mark.parametrize("how", [{}, PHONE], ids=["tablet", "phone"])
def test_axe_finds_nothing_on_the_salons_pages_of_it(how, signed_in_page, address):
    her, stylist = adult(email="ada@wren.example"), StylistFactory()
    sent = {"agrees": {"record": True, "photos": True}, "signed_name": "Ada Wren", "signature": DRAWN, "at": now()}
    send_intake(link=link_of(her)[0], answers=TOLD, **sent)
    withdraw_by_link(consent=her.consents.get(kind="photos"), at=now())
    link_of(her)
    visit = begin_visit(client=her, stylist=stylist, at=now())
    page = signed_in_page(stylist, **how)
    for name, reference in (("client-intake", her), ("client-consents", her), ("consult-story", visit)):
        page.goto(address(name, reference.reference))
        page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        found = Axe().run(page, options={"rules": {"target-size": {"enabled": True}}}).response["violations"]
        assert [f"{rule['id']}: {node['html'][:120]}" for rule in found for node in rule["nodes"]] == []
        assert small_targets(page) + sticking_out(page) == []
