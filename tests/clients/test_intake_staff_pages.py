"""Handing the tablet over, links for at home, and what staff see of an intake, by their addresses."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.conf import settings
from django.contrib.messages import get_messages
from django.core import mail
from django.urls import reverse
from django.utils.timezone import now

from clients.intaking import send_intake
from clients.models import AccessEntry, IntakeLink
from tests.clients.intake_scene import TOLD, adult, link_of
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db


def text_of(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def page_of(secret):
    return reverse("intake", args=[secret])


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def staff_page(her):
    return reverse("client-intake", args=[her.reference])


def test_handing_over_signs_out_and_opens_her_form(desk):
    her = adult()
    old = desk.cookies[settings.SESSION_COOKIE_NAME].value
    response = desk.post(reverse("intake-hand-over", args=[her.reference]))
    assert response["Clear-Site-Data"] == '"cache"'
    assert "no-store" in response["Cache-Control"]
    assert response.cookies[settings.SESSION_COOKIE_NAME].value == ""
    assert "Hello Ada" in text_of(desk.get(response.url))
    desk.cookies[settings.SESSION_COOKIE_NAME] = old  # even the old session opens nothing
    assert desk.get(reverse("client", args=[her.reference])).url.startswith(reverse("sign-in"))
    link = IntakeLink.objects.get()
    assert (link.where, link.expires_at - link.made_at) == ("tablet", timedelta(hours=1))


def test_a_link_for_at_home_is_shown_once(desk):
    her = adult()
    page = desk.post(reverse("intake-link-new", args=[her.reference]), follow=True)
    address = re.search(r'value="(http://testserver/intake/[^"]+)"', page.content.decode())[1]
    assert "no-store" in page["Cache-Control"]
    desk.logout()
    assert "Hello Ada" in text_of(desk.get(address.removeprefix("http://testserver")))
    desk.force_login(DeskFactory())
    assert address not in desk.get(staff_page(her)).content.decode()
    assert not mail.outbox


def test_the_address_is_shown_on_her_own_page_and_loading_it_again_makes_no_second_link(desk):
    her, other = adult(), ClientFactory()
    assert desk.post(reverse("intake-link-new", args=[her.reference])).url == staff_page(her)
    assert "The link is ready" in text_of(desk.get(staff_page(her)))
    assert "The link is ready" not in text_of(desk.get(staff_page(her)))
    desk.post(reverse("intake-link-new", args=[her.reference]))
    assert "The link is ready" not in text_of(desk.get(staff_page(other)))
    assert IntakeLink.objects.count() == 2


def test_it_is_sent_by_email_without_a_word_of_her_health(desk):
    her = adult(email="ada@wren.example")
    assert "She asked for it by e-mail: send it to ada@wren.example" in text_of(desk.get(staff_page(her)))
    page = desk.post(reverse("intake-link-new", args=[her.reference]), {"by_email": "yes"}, follow=True)
    assert "Sent to ada@wren.example." in text_of(page)
    (sent,) = mail.outbox
    assert (sent.subject, sent.to) == ("Before your visit to Our salon", ["ada@wren.example"])
    assert f"http://testserver/intake/{sent.body.split('/intake/')[1].split('/')[0]}/" in page.content.decode()
    for word in ("hair", "scalp", "health", "loss", "consent", "allerg", "wig", "medic", "Wren"):
        assert word.lower() not in sent.body.lower()
        assert word.lower() not in sent.subject.lower()


def test_who_agrees_to_messages_need_not_have_asked_for_it(desk):
    her = adult(email="ada@wren.example")
    ConsentFactory(client=her, kind="reminders")
    assert "She asked for it" not in text_of(desk.get(staff_page(her)))


def test_an_email_to_nowhere_makes_no_link(desk):
    her = adult(email="")
    response = desk.post(reverse("intake-link-new", args=[her.reference]), {"by_email": "yes"})
    assert "No e-mail address is on file" in str(next(iter(get_messages(response.wsgi_request))))
    assert not IntakeLink.objects.exists()


def test_a_link_that_could_not_be_sent_can_still_be_copied(desk, settings):
    settings.EMAIL_BACKEND = "tests.clients.test_intake_staff_pages.Refusing"
    her = adult(email="ada@wren.example")
    page = desk.post(reverse("intake-link-new", args=[her.reference]), {"by_email": "yes"}, follow=True)
    assert "could not be sent. The link works" in text_of(page)
    assert "http://testserver/intake/" in page.content.decode()


class Refusing:
    """A mail server that is not there."""

    def __init__(self, *args, **kwargs):
        pass

    def send_messages(self, messages):
        raise ConnectionRefusedError


def test_every_link_is_listed_with_its_state_and_a_waiting_one_is_taken_back(desk):
    her, at = adult(), now()
    link_of(her, at=at - timedelta(days=8))
    used, _ = link_of(her)
    send_intake(link=used, answers=TOLD, agrees={"record": True}, signed_name="Ada Wren", at=at)
    waiting, secret = link_of(her)
    page = text_of(desk.get(staff_page(her)))
    for state in ("Waiting : at home", "Used : at home", "Over : at home"):
        assert state in page
    assert page.count("Take back") == 1
    gone = desk.post(reverse("intake-link-revoke", args=[her.reference, waiting.pk]))
    assert gone.url == staff_page(her)
    assert "Taken back : at home" in text_of(desk.get(staff_page(her)))
    again = desk.post(reverse("intake-link-revoke", args=[her.reference, waiting.pk]))
    assert "opens nothing any more" in str(list(get_messages(again.wsgi_request))[-1])
    assert desk.get(page_of(secret)).status_code == 404


def test_the_link_of_somebody_else_is_not_taken_back_under_her_name(desk):
    link, _ = link_of(adult())
    other = ClientFactory()
    assert desk.post(reverse("intake-link-revoke", args=[other.reference, link.pk])).status_code == 404


def test_the_desk_sees_that_she_sent_it_and_the_stylist_what(client):
    her = adult()
    link, _ = link_of(her)
    send_intake(link=link, answers=TOLD, agrees={"record": True}, signed_name="Ada Wren", at=now())
    client.force_login(DeskFactory())
    page = text_of(client.get(staff_page(her)))
    assert "Her stylist reads what she wrote." in page
    for private in (TOLD.story, "Latex", TOLD.reaction, TOLD.medicines, TOLD.wishes):
        assert private not in page
    assert not AccessEntry.objects.exists()
    stylist = StylistFactory()
    client.force_login(stylist)
    page = text_of(client.get(staff_page(her)))
    for told in (TOLD.story, "Latex, Nickel", TOLD.reaction, TOLD.medicines, TOLD.wishes):
        assert told in page
    look = AccessEntry.objects.get()
    assert (look.user, look.page, look.client) == (stylist, "intake", her)


def test_the_page_takes_the_same_queries_for_one_link_as_for_many(client, queries_for):
    her = adult()
    client.force_login(StylistFactory())

    def one_more():
        link, _ = link_of(her)
        send_intake(link=link, answers=TOLD, agrees={"record": True}, signed_name="Ada Wren", at=now())

    one_more()
    few = queries_for(staff_page(her))
    for _ in range(4):
        one_more()
    assert queries_for(staff_page(her)) == few
