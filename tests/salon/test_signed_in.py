"""Where somebody who is signed out is led, and where she goes on once she has signed in."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from tests.clients.factories import PhotoFactory

pytestmark = pytest.mark.django_db

OURS = "http://testserver"


def goes_on_at(address):
    """The page after signing in, of an address of the sign-in page."""
    asked = urlsplit(address)
    assert asked.path == reverse("sign-in")
    return parse_qs(asked.query)["next"][0]


@pytest.fixture
def photo():
    return PhotoFactory()


@pytest.fixture
def removal(photo):
    return reverse("photo-remove", args=[photo.reference])


def test_a_page_that_was_asked_for_is_gone_on_with(client):
    assert goes_on_at(client.get(reverse("clients"), {"q": "ada"}).url) == reverse("clients") + "?q=ada"


def test_what_was_posted_leads_back_to_the_page_that_sent_it(client, photo, removal):
    page = photo.get_absolute_url()
    answer = client.post(removal, {"because": "blurred"}, headers={"Referer": OURS + page + "?shown=all"})
    assert goes_on_at(answer.url) == page + "?shown=all"


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/photos/", "javascript:alert(1)", "", "//["])
def test_a_page_that_is_not_ours_is_never_gone_on_with(client, removal, elsewhere):
    assert goes_on_at(client.post(removal, headers={"Referer": elsewhere}).url) == removal


def test_a_part_of_a_page_is_not_answered_with_the_page_to_sign_in(client):
    shown = reverse("clients") + "?q=ad"
    headers = {"HX-Request": "true", "HX-Current-URL": OURS + shown}
    answer = client.get(reverse("clients"), {"q": "ada"}, headers=headers)
    assert answer.status_code == 401
    assert not answer.content
    assert goes_on_at(answer["HX-Redirect"]) == shown
