"""The client's own page behind a secret, and the salon's page of links and answers."""

import json
import re
from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.intake.form import IN_PLAIN_WORDS
from clients.intaking import revoke_intake_link, send_intake
from clients.models import Client, Consent, Intake
from clients.models.health import Substance
from clients.registering import change_client
from salon.models import Salon
from tests.clients.intake_scene import DRAWN, TOLD, adult, child, link_of
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db

NO_TO_ALL = {f"agree_{kind}": "no" for kind in ("record", "photos", "publicity", "reminders")}
SWAP = {"HX-Request": "true"}


def text_of(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def page_of(secret):
    return reverse("intake", args=[secret])


def words_on(response):
    return re.search(r'name="words" value="(\w+)"', response.content.decode())[1]


@pytest.fixture
def fill_in(client):
    """Opens the page as nobody and posts to it; keywords are fields beside a plain yes to the record."""

    def post(secret, *, age="", swap=False, **fields):
        shown = client.get(page_of(secret), {"age": age} if age else {})
        sent = {"words": words_on(shown), "of_age": age, **NO_TO_ALL, "agree_record": "yes", "signed_name": "Ada Wren"}
        return client.post(page_of(secret), sent | fields, headers=SWAP if swap else {})

    return post


# her own page


def test_the_page_shows_her_name_her_form_and_nothing_else(client):
    her = adult(preferred_name="Addie", phone="07700 900111", email="ada@wren.example", private_note="Rings first")
    _, secret = link_of(her)
    other = ClientFactory()
    page = client.get(page_of(secret))
    raw = page.content.decode()
    assert "Hello Addie" in text_of(page)
    assert "<title>Before your visit · Our salon</title>" in raw
    for private in ("Wren", her.reference, "07700", "ada@wren", "Rings first", other.family_name, "csrf", "/clients/"):
        assert private not in raw
    assert not re.search(r"<(header|nav)|href=\"/(?!static/)", raw)
    assert re.findall(r'type="radio"[^>]*checked', raw) == re.findall(r'type="radio"[^>]*value=""[^>]*checked', raw)


def test_the_page_is_the_same_for_whoever_is_signed_in(client):
    _, secret = link_of(adult())
    as_nobody = client.get(page_of(secret)).content
    client.force_login(StylistFactory())
    assert client.get(page_of(secret)).content == as_nobody


def test_nothing_of_it_is_kept_or_told_on(client):
    _, secret = link_of(adult())
    for address in (page_of(secret), page_of("nothing")):
        response = client.get(address)
        assert response["Referrer-Policy"] == "no-referrer"
        assert "no-store" in response["Cache-Control"]
        assert response["X-Robots-Tag"] == "noindex, nofollow"
        assert not response.cookies


def test_each_consent_is_shown_in_its_exact_words_and_stored_so(client, fill_in):
    _, secret = link_of(adult())
    page = text_of(client.get(page_of(secret)))
    fill_in(secret, agree_photos="yes", agree_publicity="yes", agree_reminders="yes", signature=json.dumps(DRAWN))
    consents = list(Consent.objects.all())
    assert len(consents) == 4
    for consent in consents:
        assert consent.text in page
        assert (consent.signed_how, consent.signature) == ("drawn", DRAWN)


def test_sending_leads_to_thanks_and_the_form_is_gone(client, fill_in):
    _, secret = link_of(adult())
    response = fill_in(secret, story="It began in spring.", substances=["latex"], reacts="yes")
    assert (response.status_code, response.url) == (302, page_of(secret))
    assert Intake.objects.get().substances == ["latex"]
    page = client.get(page_of(secret))
    assert "Already received, thank you" in text_of(page)
    assert "<form" not in page.content.decode()
    assert "Already received" in text_of(client.post(page_of(secret), {"agree_record": "yes"}))
    assert Intake.objects.count() == 1


def test_on_the_tablet_she_is_asked_to_hand_it_back_and_staff_sign_in_to_her_page(client, fill_in):
    her = adult()
    _, secret = link_of(her, "tablet")
    fill_in(secret)
    page = client.get(page_of(secret))
    assert "Thank you. Please hand the tablet back." in text_of(page)
    assert f'href="{reverse("sign-in")}?next={reverse("client", args=[her.reference])}"' in page.content.decode()


def test_a_sending_by_the_page_itself_is_led_on_or_gets_the_form_back(fill_in):
    _, secret = link_of(adult())
    refused = fill_in(secret, swap=True, signed_name="")
    assert refused.content.decode().lstrip().startswith("<form")
    sent = fill_in(secret, swap=True)
    assert (sent.status_code, sent["HX-Redirect"]) == (200, page_of(secret))


def test_a_second_sending_by_the_page_itself_is_led_on_too(client):
    link, secret = link_of(adult())
    send_intake(link=link, answers=TOLD, agrees={"record": True}, signed_name="Ada Wren", at=now())
    assert client.post(page_of(secret), {}, headers=SWAP)["HX-Redirect"] == page_of(secret)


def test_wrong_old_and_taken_back_links_are_answered_alike(client):
    her, at = adult(), now()
    _, over = link_of(her, at=at - timedelta(days=8))
    revoked, taken_back = link_of(her)
    revoke_intake_link(link=revoked, by=DeskFactory(), at=at)
    gone = adult()
    _, erased = link_of(gone)
    Client.objects.filter(pk=gone.pk).update(erased_at=at)
    answers = [client.get(page_of(secret)) for secret in ("nothing", "n" * 43, over, taken_back, erased)]
    answers += [client.post(page_of(secret), {"story": "x"}) for secret in ("nothing", over, taken_back, erased)]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert "Please ask the salon for a new one" in text_of(answers[0])
    told = [{name: value for name, value in answer.headers.items() if name != "Expires"} for answer in answers]
    assert all(headers == told[0] for headers in told)
    assert not Intake.objects.exists()


@pytest.mark.parametrize("secret", ["nothing", "%00", "a b", "é", "x" * 2000])
def test_a_post_to_a_wrong_secret_costs_two_queries(client, secret, django_assert_max_num_queries):
    Salon.objects.default()
    with django_assert_max_num_queries(2):  # the link and the salon's name
        assert client.post(page_of(secret), {"story": "x"}).status_code == 404


def test_answers_without_the_record_consent_stay_on_the_page_and_can_be_left_out(client, fill_in):
    _, secret = link_of(adult())
    asked = {"agree_record": "no", "agree_photos": "yes", "story": "It began in spring.", "wishes": "To swim"}
    page = fill_in(secret, **asked, signature=json.dumps(DRAWN))
    assert "can only be kept if you agree that a record is kept" in text_of(page)
    raw = unescape(page.content.decode())
    assert "It began in spring.</textarea>" in raw
    assert json.dumps(DRAWN) in raw
    assert re.search(r'name="agree_photos" value="yes"[^>]*checked', raw)
    assert (Consent.objects.count(), Intake.objects.count()) == (0, 0)
    assert fill_in(secret, **asked, send="without answers").status_code == 302
    assert (Consent.objects.get().kind, Intake.objects.get().story) == ("photos", "")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"agree_publicity": ""}, "Choose yes or no."),
        ({"signed_name": ""}, "To agree, sign: type your full name here."),
        ({"signature": "[[["}, "The drawn signature can't be read."),
        ({"signature": "[[[0.1, 0.1], [2, 0.1]]]"}, "runs off the pad"),
        ({"words": "others"}, "What you agree to has changed since you opened this page."),
        ({"reacts": "no", "substances": ["latex"]}, "You answered “No” and wrote down a reaction too."),
        ({"substances": ["strawberries"]}, "One of the ticked things is not on the list"),
        ({"losing_since": "x" * 81}, "at most 80 characters"),
        ({"chemotherapy": "perhaps"}, "Select a valid choice."),
    ],
)
def test_what_is_refused_is_said_and_nothing_typed_is_lost(fill_in, fields, sentence):
    _, secret = link_of(adult())
    page = fill_in(secret, **{"story": "It began in spring.", "agree_record": "yes"} | fields)
    assert page.status_code == 200
    assert sentence in text_of(page)
    assert "Not sent yet." in text_of(page)
    assert "It began in spring.</textarea>" in page.content.decode()
    assert (Consent.objects.count(), Intake.objects.count()) == (0, 0)


def test_the_words_must_be_those_that_were_shown(client, fill_in):
    her = adult()
    _, secret = link_of(her)
    shown = client.get(page_of(secret))
    Salon.objects.update(name="The Quiet Room")
    page = fill_in(secret, words=words_on(shown))
    assert "has changed since you opened this page" in text_of(page)
    assert "I agree that The Quiet Room writes down" in text_of(page)
    assert fill_in(secret, words=words_on(page)).status_code == 302
    assert "The Quiet Room" in Consent.objects.get().text


def test_what_stands_already_is_said_and_can_be_taken_back(client, fill_in):
    her = adult(record_consent=True)
    ConsentFactory(client=her, kind="photos")
    _, secret = link_of(her)
    assert text_of(client.get(page_of(secret))).count("You agreed on") == 2
    assert fill_in(secret, agree_record="", agree_photos="no", signed_name="").status_code == 302
    assert her.consents.get(kind="photos").withdrawn_by_link
    assert her.consents.get(kind="record").withdrawn_at is None


def test_the_page_says_that_the_guardian_signs_and_takes_her_name(client, fill_in):
    her = child()
    _, secret = link_of(her)
    page = client.get(page_of(secret))
    assert "Your guardian signs. You are under 18" in text_of(page)
    assert "The guardian signs for Ida Wren" in text_of(page)
    refused = fill_in(secret, signed_name="Ida Wren")
    assert "the guardian signs with her or his own name" in text_of(refused)
    assert fill_in(secret, signed_name="Maud Wren").status_code == 302
    assert Consent.objects.get().guardian_name == "Maud Wren"


def test_without_a_date_of_birth_her_age_is_asked_first_and_a_minor_does_not_sign(client, fill_in):
    her = ClientFactory(given_name="Ida", family_name="Wren", born_on=None)
    _, secret = link_of(her)
    first = client.get(page_of(secret))
    assert "Are you 18 or over?" in text_of(first)
    assert "<form" not in first.content.decode()
    words = words_on(client.get(page_of(secret), {"age": "over"}))
    signed = {**NO_TO_ALL, "agree_record": "yes", "signed_name": "Ida Wren", "words": words}
    unsaid = client.post(page_of(secret), signed)
    assert "Say first whether you are 18 or over" in text_of(unsaid)
    as_under = client.post(page_of(secret), signed | {"of_age": "under"})
    assert "has changed since you opened this page" in text_of(as_under)
    assert not Consent.objects.exists()
    refused = fill_in(secret, age="under", signed_name="Ida Wren")
    assert "the guardian signs with her or his own name" in text_of(refused)
    assert fill_in(secret, age="under", signed_name="Maud Wren").status_code == 302
    assert Consent.objects.get().guardian_name == "Maud Wren"


def test_who_is_old_enough_by_her_own_word_signs_herself(fill_in):
    _, secret = link_of(ClientFactory(born_on=None))
    assert fill_in(secret, age="over").status_code == 302
    assert Consent.objects.get().guardian_name == ""


def test_every_substance_has_plain_words(client):
    assert set(IN_PLAIN_WORDS) == set(Substance)


# the salon's page


def test_a_changed_name_is_greeted_by(client):
    her = adult()
    _, secret = link_of(her)
    fields = {name: getattr(her, name) for name in ("given_name", "family_name", "phone", "email", "born_on")}
    more = {"guardian_name": "", "private_note": "", "preferred_name": "Wrennie"}
    change_client(client=her, by=her.created_by, **fields, **more)
    assert "Hello Wrennie" in text_of(client.get(page_of(secret)))
