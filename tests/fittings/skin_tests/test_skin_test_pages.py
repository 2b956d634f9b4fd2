"""The page on which skin tests are applied and read."""

from datetime import timedelta
from html import unescape

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils.timezone import now

from clients.models import AccessEntry, SkinTest
from clients.skin_testing import read_skin_test
from tests.factories import ClientFactory, OwnerFactory, SkinTestFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def signed_in(client, stylist):
    client.force_login(stylist)
    return client


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def page_of(her):
    return reverse("client-skin-tests", args=[her.reference])


def read(signed_in, test, reacted):
    response = signed_in.post(reverse("skin-test-read", args=[test.client.reference, test.pk]), {"reacted": reacted})
    return str(list(get_messages(response.wsgi_request))[-1])  # those of earlier posts are still unread


def test_the_cautions_are_said(signed_in):
    page = text_of(signed_in.get(page_of(ClientFactory())))
    for caution in (
        "The maker’s instructions and local rules come first",
        "behind the ear or on the inner arm",
        "Read it at 48 hours, and again at 72 to 96 hours",
        "take it off, rinse with water, use none of the product, and she sees a doctor",
        "The salon diagnoses nothing",
    ):
        assert caution in page


def test_a_test_is_applied(signed_in, stylist):
    her = ClientFactory(record_consent=True)
    signed_in.post(page_of(her), {"kind": "adhesive", "product": "Soft tape no. 3", "lot": "A-1107"})
    test = SkinTest.objects.get()
    assert (test.client, test.product, test.lot, test.applied_by) == (her, "Soft tape no. 3", "A-1107", stylist)


def test_without_consent_no_form_is_offered_and_none_is_taken(signed_in):
    her = ClientFactory()
    assert "Applied just now" not in text_of(signed_in.get(page_of(her)))
    page = text_of(signed_in.post(page_of(her), {"kind": "adhesive", "product": "Soft tape no. 3"}))
    assert "Consent first" in page
    assert not SkinTest.objects.exists()


def test_a_refused_form_keeps_what_was_typed(signed_in):
    her = ClientFactory(record_consent=True)
    page = text_of(signed_in.post(page_of(her), {"kind": "adhesive", "product": "", "lot": "A-1107"}))
    assert "Say which product it is." in page
    assert "A-1107" in page


def test_a_test_is_read(signed_in):
    test = SkinTestFactory(at=now() - timedelta(hours=50))
    assert "no reaction so far. If one comes later, record it here." in read(signed_in, test, "no")
    assert "She should see a doctor" in read(signed_in, test, "yes")
    test.refresh_from_db()
    assert test.reacted


def test_a_refused_reading_is_a_sentence(signed_in):
    test = SkinTestFactory()
    assert "a test is clear only after 48 hours" in read(signed_in, test, "no")
    assert read(signed_in, test, "") == "Choose “No reaction” or “A reaction”."
    assert "maybe is not one of the available choices" in read(signed_in, test, "maybe")
    test.refresh_from_db()
    assert test.read_at is None


def test_a_test_of_another_client_is_not_found(signed_in):
    test = SkinTestFactory()
    address = reverse("skin-test-read", args=[ClientFactory().reference, test.pk])
    assert signed_in.post(address, {"reacted": "yes"}).status_code == 404


def test_tests_to_be_read_come_first(signed_in, stylist):
    her = ClientFactory(record_consent=True)
    SkinTestFactory(client=her, product="Read already", at=now() - timedelta(hours=60))
    read_skin_test(test=SkinTest.objects.get(), reacted=False, by=stylist, at=now())
    SkinTestFactory(client=her, product="Waiting")
    page = text_of(signed_in.get(page_of(her)))
    assert page.index("Waiting") < page.index("How it is done") < page.index("Read already")


def test_every_look_is_recorded_and_the_owner_reads_who(signed_in, stylist, client):
    her = ClientFactory()
    signed_in.get(page_of(her))
    entry = AccessEntry.objects.get()
    assert (entry.client, entry.user, entry.page) == (her, stylist, "skin tests")
    client.force_login(OwnerFactory())
    page = text_of(client.get(reverse("client-looks", args=[her.reference])))
    assert f"<td>{stylist}</td> <td>skin tests</td>" in page


def test_the_page_takes_the_same_queries_for_one_test_as_for_six(signed_in, queries_for):
    her = ClientFactory(record_consent=True)
    SkinTestFactory(client=her)
    one = queries_for(page_of(her))
    SkinTestFactory.create_batch(5, client=her)
    assert queries_for(page_of(her)) == one
