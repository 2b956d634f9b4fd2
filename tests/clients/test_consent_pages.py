"""The page on which consents are read, signed and withdrawn."""

import json
from datetime import date
from html import unescape

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_by_link
from clients.models import Consent
from tests.clients.intake_scene import DRAWN
from tests.factories import ClientFactory, ConsentFactory, DeskFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def page_of(her):
    return reverse("client-consents", args=[her.reference])


def sign(desk, her, **fields):
    return desk.post(
        reverse("consent-sign", args=[her.reference]), {"kind": "record", "signed_name": "Ada Wren"} | fields
    )


def withdraw(desk, her, kind="record"):
    return desk.post(reverse("consent-withdraw", args=[her.reference]), {"kind": kind})


def test_each_text_is_shown_with_its_version_and_signed_alone(desk):
    her = ClientFactory()
    page = text_of(desk.get(page_of(her)))
    for version in ("record-1", "photos-1", "publicity-1", "reminders-1"):
        assert f"Version {version}" in page
    assert page.count("Not signed") == 4
    assert sign(desk, her).url == page_of(her)
    assert text_of(desk.get(page_of(her))).count("Not signed") == 3


def test_what_is_stored_is_what_was_shown(desk):
    her = ClientFactory()
    page = text_of(desk.get(page_of(her)))
    sign(desk, her)
    assert Consent.objects.get().text in page


def test_a_refused_signature_stays_on_its_own_form(desk):
    her = ClientFactory()
    page = text_of(sign(desk, her, kind="photos", signed_name=""))
    assert page.count("This field is required") == 1
    assert not Consent.objects.exists()


@pytest.mark.parametrize("kind", ["", "all", "record\x00"])
def test_an_unknown_kind_is_a_sentence(desk, kind):
    her = ClientFactory()
    assert sign(desk, her, kind=kind).url == page_of(her)
    assert "Choose which of the four consents is signed." in text_of(desk.get(page_of(her)))
    assert not Consent.objects.exists()


def test_a_second_signature_of_a_kind_is_refused(desk):
    her = ClientFactory(record_consent=True)
    sign(desk, her)
    assert Consent.objects.count() == 1


def test_the_guardian_signs_for_a_client_under_age(desk):
    her = ClientFactory(given_name="Ida", family_name="Wren", born_on=date(2015, 4, 3), guardian_name="Maud Wren")
    page = text_of(desk.get(page_of(her)))
    assert "Guardian's name, typed by the guardian as a signature" in page
    assert "On file: Maud Wren." in page
    sign(desk, her, signed_name="Maud Wren")
    consent = Consent.objects.get()
    assert (consent.signed_name, consent.guardian_name) == ("Maud Wren", "Maud Wren")


def test_withdrawing_says_what_happens_and_what_stays(desk):
    her = ClientFactory(record_consent=True)
    consequence = "nothing new about her hair, scalp or health can be written down"
    assert consequence in text_of(desk.get(page_of(her)))
    response = withdraw(desk, her)
    assert consequence in str(next(iter(get_messages(response.wsgi_request))))
    assert "What is stored stays until it is erased" in str(next(iter(get_messages(response.wsgi_request))))
    assert not Consent.objects.live().exists()


@pytest.mark.parametrize("kind", ["record", "all", "record\x00"])
def test_withdrawing_what_is_not_there_is_a_sentence(desk, kind):
    response = withdraw(desk, ClientFactory(), kind)
    assert [str(m) for m in get_messages(response.wsgi_request)] == ["There is no such consent on file to withdraw."]


def test_a_consent_of_somebody_else_stays(desk):
    ConsentFactory()
    withdraw(desk, ClientFactory())
    assert Consent.objects.live().count() == 1


def test_the_page_takes_the_same_queries_for_no_consent_as_for_four(desk, queries_for):
    her = ClientFactory()
    none = queries_for(page_of(her))
    for kind in ("record", "photos", "publicity", "reminders"):
        ConsentFactory(client=her, kind=kind)
    assert queries_for(page_of(her)) == none


def test_a_signature_is_drawn_at_the_desk_too_and_shown(desk):
    her = ClientFactory()
    assert sign(desk, her, signature=json.dumps(DRAWN)).status_code == 302
    consent = Consent.objects.get()
    assert (consent.signature, consent.signed_how, consent.signed_where) == (DRAWN, "drawn", "desk")
    page = desk.get(page_of(her))
    assert "by hand, drawn, at the desk" in text_of(page)
    assert 'aria-label="Signature of Ada Wren"' in text_of(page)


def test_a_drawing_that_is_refused_leaves_the_name_and_says_what_to_do(desk):
    page = text_of(sign(desk, ClientFactory(), signature="[[[0.1, 0.1], [0.5, 9]]]"))
    assert "runs off the pad. Clear it and draw it again." in page
    assert 'value="Ada Wren"' in page
    assert not Consent.objects.exists()


def test_a_drawing_stays_when_the_name_is_missing(desk):
    page = text_of(sign(desk, ClientFactory(), signature=json.dumps(DRAWN), signed_name=""))
    assert f'value="{json.dumps(DRAWN)}"' in page


def test_what_was_taken_back_stays_readable_with_its_dates(desk):
    her = ClientFactory(record_consent=True)
    withdraw_by_link(consent=her.consents.get(), at=now())
    page = text_of(desk.get(page_of(her)))
    assert "Signed before and taken back (1)" in page
    assert "by herself, by a link" in page
    assert her.consents.get().text in page
