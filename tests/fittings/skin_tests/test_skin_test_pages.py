"""The pages on which skin tests are applied, read and struck out."""

from datetime import timedelta
from html import unescape
from zoneinfo import ZoneInfo

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localtime, now

from clients.models import AccessEntry, SkinTest
from clients.skin_testing import read_skin_test
from tests.factories import ClientFactory, OwnerFactory, ProductFactory, SkinTestFactory, StylistFactory

pytestmark = pytest.mark.django_db
HERE = ZoneInfo("Europe/London")  # the salon's zone where none was chosen


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
    assert "Write down" not in text_of(signed_in.get(page_of(her)))
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


def test_a_product_is_chosen_from_the_list_and_the_desk_reads_from_when_it_can_be_read(signed_in):
    her, tape = ClientFactory(record_consent=True), ProductFactory(name="Weir tape", read_after_hours=72)
    page = text_of(signed_in.get(page_of(her)))
    assert f'<option value="{tape.pk}">Weir tape</option>' in page
    applied_at = localtime(now(), HERE) - timedelta(hours=5)
    sent = {"listed": tape.pk, "kind": "colour", "lot": "A-1", "applied_at": f"{applied_at:%Y-%m-%dT%H:%M}"}
    response = signed_in.post(page_of(her), sent)  # a kind left over from another product is not taken
    test = SkinTest.objects.get()
    from_when = localtime(test.applied_at + timedelta(hours=72), HERE)
    assert (test.kind, test.known_product, test.lot) == ("adhesive", tape, "A-1")
    said = str(list(get_messages(response.wsgi_request))[-1])
    assert said == f"Weir tape is applied. It is to be read from {date_format(from_when, 'l j F, H:i')} on."
    assert date_format(from_when, "l j F, H:i") in text_of(signed_in.get(page_of(her)))


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"kind": "adhesive"}, "Say which product it is."),
        ({"product": "Soft tape"}, "Say what it is for."),
        ({"product": "Soft tape", "kind": "perfume"}, "perfume is not one of the available choices"),
        ({"listed": "THE TAPE", "product": "Soft tape"}, "Either Weir tape from the list or another"),
        ({"listed": "999999"}, "That choice is not one of the available choices"),
        ({"listed": "\x00"}, "Null characters are not allowed."),
        ({"listed": "OUT OF USE"}, "That choice is not one of the available choices"),
        ({"listed": "REMOVER"}, "That choice is not one of the available choices"),
        ({"listed": "THE TAPE", "applied_at": "2999-01-01T10:00"}, "within the last seven days, or just now"),
        ({"listed": "THE TAPE", "applied_at": "2020-01-01T10:00"}, "within the last seven days, or just now"),
        ({"listed": "THE TAPE", "applied_at": "0001-01-01T00:00"}, "within the last seven days, or just now"),
        ({"listed": "THE TAPE", "applied_at": "yesterday"}, "Enter a valid date/time."),
        ({"listed": "THE TAPE", "lot": "x" * 41}, "at most 40 characters"),
    ],
)
def test_what_can_not_be_meant_is_refused_by_a_sentence_and_stores_nothing(signed_in, sent, words):
    her = ClientFactory(record_consent=True)
    keys = {
        "THE TAPE": ProductFactory(name="Weir tape").pk,
        "OUT OF USE": ProductFactory(is_in_use=False).pk,
        "REMOVER": ProductFactory(sort="remover").pk,
    }
    sent = {name: keys.get(value, value) for name, value in sent.items()}
    assert words in text_of(signed_in.post(page_of(her), sent))
    assert not SkinTest.objects.exists()


def test_a_clear_test_says_until_when_it_counts_and_by_whose_figure(signed_in, stylist):
    her, at = ClientFactory(record_consent=True), now()
    tape = ProductFactory(test_valid_days=10)
    own = SkinTestFactory(client=her, product=tape, kind="", at=at - timedelta(hours=50))
    house = SkinTestFactory(client=her, at=at - timedelta(hours=50))
    for test in (own, house):
        read_skin_test(test=test, reacted=False, by=stylist, at=at)
    page = text_of(signed_in.get(page_of(her)))
    for days, whose in ((10, "as its maker says"), (180, "by the house rule")):
        until = date_format(localtime(at + timedelta(days=days), HERE), "l j F Y, H:i")
        assert f"{days} days, {whose}: until {until}" in page


def test_a_test_that_counts_no_longer_says_so(signed_in, stylist):
    test = SkinTestFactory(product=ProductFactory(test_valid_days=1), kind="", at=now() - timedelta(days=6))
    read_skin_test(test=test, reacted=False, by=stylist, at=now() - timedelta(days=3))
    page = text_of(signed_in.get(page_of(test.client)))
    assert "Counts no longer" in page
    assert "(no longer)" in page


def test_a_test_is_struck_out_on_its_page_and_stays_to_be_seen(signed_in, stylist):
    test = SkinTestFactory()
    address = reverse("skin-test-strike-out", args=[test.client.reference, test.pk])
    assert "Nothing is removed" in text_of(signed_in.get(address))
    assert "Why it is struck out" in text_of(signed_in.post(address, {"because": " "}))
    test.refresh_from_db()
    assert not test.is_struck_out
    signed_in.post(address, {"because": "Another client's"})
    page = text_of(signed_in.get(page_of(test.client)))
    assert f"Struck out by {stylist} on" in page
    assert "Another client's. It clears nothing." in page
    assert "This test is struck out already." in text_of(signed_in.post(address, {"because": "again"}))


def test_a_struck_out_reaction_goes_on_being_warned_of(signed_in):
    test = SkinTestFactory()
    read(signed_in, test, "yes")
    address = reverse("skin-test-strike-out", args=[test.client.reference, test.pk])
    assert "this product is not put on her skin again" in text_of(signed_in.get(address))
    signed_in.post(address, {"because": "Pressed by mistake"})
    page = text_of(signed_in.get(page_of(test.client)))
    assert "None of this on her skin, not even as a test: Soft tape no. 3." in page
    assert "The reaction goes on being warned of: none of this product on her skin" in page
    page = text_of(signed_in.post(page_of(test.client), {"kind": "adhesive", "product": "Soft tape no. 3"}))
    assert "no more of it on her skin, not even as a test" in page


def test_a_test_of_another_client_is_not_struck_out(signed_in):
    test = SkinTestFactory()
    address = reverse("skin-test-strike-out", args=[ClientFactory().reference, test.pk])
    assert signed_in.post(address, {"because": "Wrong"}).status_code == 404
    test.refresh_from_db()
    assert not test.is_struck_out
