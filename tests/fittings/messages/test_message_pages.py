"""The log of messages as the desk uses it, and the page on which a client stops them."""

from datetime import timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils.timezone import now

from clients.models import Consent
from fittings.messages.stopping import stop_address, stop_token
from fittings.models import Reminder
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.messages.factories import AgreeingClientFactory, ReminderFactory, UnsettledFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    desk = DeskFactory()
    client.force_login(desk, backend="django.contrib.auth.backends.ModelBackend")
    return desk


def page(client, **asked):
    return client.get(reverse("messages"), asked).content.decode()


# The log


def test_the_log_says_who_what_when_and_what_became_of_it(client, desk):
    row = ReminderFactory(state="failed", trouble="The mail server can't be reached.")
    shown = page(client)
    for told in (str(row.client), "Confirmation", "Could not be sent yet", "The mail server can&#x27;t be reached."):
        assert told in shown
    assert row.client.email not in shown


def test_those_to_be_settled_come_first_and_whatever_is_shown(client, desk):
    UnsettledFactory.create_batch(2)
    for state in ("", "sent"):
        shown = page(client, state=state)
        assert "2 wait to be settled" in shown
        assert shown.count(">It went out<") == 2
    Reminder.objects.update(state="sent", sent_at=now())
    assert "to be settled" not in page(client)


def test_it_is_narrowed_by_state_and_what_is_to_come_is_not_what_was(client, desk):
    sent, coming = ReminderFactory(state="sent", sent_at=now()), ReminderFactory(due_at=now() + timedelta(days=3))
    assert str(sent.client) in page(client)
    assert str(coming.client) not in page(client)
    assert str(coming.client) in page(client, state="due")
    assert str(sent.client) not in page(client, state="due")


@pytest.mark.parametrize(
    "asked", [{"page": "0"}, {"page": "x"}, {"page": "9" * 30}, {"state": "nonsense"}, {"page": "²"}]
)
def test_what_can_not_be_meant_shows_a_page_all_the_same(client, desk, asked):
    assert client.get(reverse("messages"), asked).status_code == 200


def test_the_log_is_paged_in_a_fixed_number_of_queries(client, desk, queries_for):
    UnsettledFactory()
    ReminderFactory()
    few = queries_for(reverse("messages"))
    UnsettledFactory.create_batch(3)
    ReminderFactory.create_batch(5)
    assert queries_for(reverse("messages")) == few


def test_the_desk_settles_one_and_comes_back_to_where_it_was(client, desk):
    row = UnsettledFactory()
    here = "http://testserver" + reverse("messages") + "?state=unknown"
    answer = client.post(reverse("message-settle", args=[row.pk]), {"went": "yes"}, headers={"referer": here})
    assert answer.url == here
    row.refresh_from_db()
    assert (row.state, row.settled_by) == ("sent", desk)


def test_a_settled_one_is_refused_with_a_sentence(client, desk):
    row = ReminderFactory(state="sent", sent_at=now())
    for name in ("message-settle", "message-again"):
        answer = client.post(reverse(name, args=[row.pk]), {"went": "no"}, follow=True)
        assert "This message is" in answer.content.decode()
    assert "Say whether" in client.post(reverse("message-settle", args=[row.pk]), follow=True).content.decode()


def test_the_desk_sends_one_again(client, desk):
    row = UnsettledFactory()
    client.post(reverse("message-again", args=[row.pk]))
    row.refresh_from_db()
    assert (row.state, row.attempts, row.settled_by) == ("due", 0, desk)


# Stopping


@pytest.fixture
def her():
    return AgreeingClientFactory()


@pytest.fixture
def anybody():
    """A mail program: no cookie, no token of a form."""
    return Browser(enforce_csrf_checks=True)


def agrees(client):
    return Consent.objects.live().filter(client=client, kind="reminders").exists()


def test_opening_the_link_changes_nothing(anybody, her):
    answer = anybody.get(reverse("stop-messages", args=[stop_token(her)]))
    assert answer.status_code == 200
    assert agrees(her)
    shown = answer.content.decode()
    assert her.given_name not in shown
    assert her.family_name not in shown


@pytest.mark.parametrize("body", [{}, {"List-Unsubscribe": "One-Click"}])
def test_the_button_and_a_mail_program_stop_them_once_and_for_all(anybody, her, body):
    waiting = ReminderFactory(appointment__client=her)
    address = reverse("stop-messages", args=[stop_token(her)])
    first, second = anybody.post(address, body), anybody.post(address, body)
    assert first.status_code == second.status_code == 200
    assert "You get no more messages from" in first.content.decode()
    assert "You get no more messages from" in second.content.decode()
    assert not agrees(her)
    assert Consent.objects.get(client=her).withdrawn_by_link
    waiting.refresh_from_db()
    assert waiting.state == "dropped"


def test_the_link_of_a_record_that_went_into_another_stops_the_others(anybody, her):
    gone = ClientFactory()
    gone.merged_into = her
    gone.save()
    anybody.post(reverse("stop-messages", args=[stop_token(gone)]))
    assert not agrees(her)


def test_a_link_that_we_did_not_sign_is_no_page(anybody, her):
    good = stop_token(her)
    for token in (her.reference, f"{her.reference}:", good[:-1], good.replace("C-", "D-"), f"{good}x", "\x00", "ä"):
        for send in (anybody.get, anybody.post):
            answer = send(reverse("stop-messages", args=[token]))
            assert answer.status_code == 404
            assert "no-store" in answer["Cache-Control"]
    assert agrees(her)


def test_the_page_is_kept_by_nobody_and_tells_nobody(anybody, her):
    answer = anybody.get(reverse("stop-messages", args=[stop_token(her)]))
    assert "no-store" in answer["Cache-Control"]
    assert (answer["Referrer-Policy"], answer["X-Robots-Tag"]) == ("no-referrer", "noindex, nofollow")


def test_the_link_in_a_message_opens_the_page(anybody, her, settings):
    settings.SALON_ADDRESS = "https://salon.example"
    address = stop_address(her)
    assert address.startswith("https://salon.example/stop-messages/")
    assert anybody.get(address.removeprefix("https://salon.example")).status_code == 200
