"""The salon's own reasons: added, changed, taken out of use; what is wrong with one is said, and nothing is kept."""

from html import unescape

import pytest
from django.urls import reverse

from pieces.keeping_reasons import MOST_IN_USE
from pieces.models import ReturnReason
from tests.factories import OwnerFactory
from tests.pieces.factories import ReturnReasonFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def owner(client):
    client.force_login(OwnerFactory())


def words(response):
    return " ".join(unescape(response.content.decode()).split())


def test_a_salon_begins_with_a_short_list(client):
    shown = words(client.get(reverse("return-reasons")))
    assert "Slips or does not hold" in shown
    assert "No return names it yet" in shown


def test_a_reason_is_added_in_its_place(client):
    client.post(reverse("return-reason-new"), {"name": "  Sheds  too much ", "position": "1"})
    reason = ReturnReason.objects.get(name="Sheds too much")
    assert (reason.position, reason.is_in_use) == (0, True)


def test_a_reason_is_reworded_and_taken_out_of_use(client):
    reason = ReturnReasonFactory(name="Slides", position=4)
    page = reverse("return-reason", args=[reason.pk])
    assert 'value="5"' in words(client.get(page))
    client.post(page, {"name": "Slides forward", "position": "2"})
    reason.refresh_from_db()
    assert (reason.name, reason.position, reason.is_in_use) == ("Slides forward", 1, False)
    assert reason not in ReturnReason.objects.in_use()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": ""}, "Write the reason."),
        ({"name": "ITCHES OR FEELS WARM"}, "That reason is on the list already."),
        ({"name": "x" * 61}, "at most 60 characters"),
        ({"position": ""}, "Write a whole number from 1 to 99."),
        ({"position": "0"}, "Write a whole number from 1 to 99."),
        ({"position": "first"}, "Write a whole number from 1 to 99."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_kept(client, typed, sentence):
    before = list(ReturnReason.objects.values())
    shown = words(client.post(reverse("return-reason-new"), {"name": "Sheds", "position": "3"} | typed))
    assert sentence in shown
    assert list(ReturnReason.objects.values()) == before


def test_the_list_stays_short_enough_to_be_read(client):
    ReturnReasonFactory.create_batch(MOST_IN_USE - ReturnReason.objects.count())
    shown = words(client.post(reverse("return-reason-new"), {"name": "Sheds", "position": "3"}))
    assert f"{MOST_IN_USE} reasons are in use already; take one out of use first." in shown
    assert 'value="Sheds"' in shown


def test_there_is_no_page_of_a_reason_that_is_not_there(client):
    assert client.get(reverse("return-reason", args=[10**9])).status_code == 404
