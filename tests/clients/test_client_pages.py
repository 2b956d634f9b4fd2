"""The pages of finding a client, taking her in and changing her details."""

from html import unescape

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from clients.models import Client
from clients.searching import PAGE_LENGTH
from tests.factories import ClientFactory, DeskFactory

pytestmark = pytest.mark.django_db
CLIENTS = "/clients/"


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def typed(**changed):
    """A form that can be saved; a test spells out what it changes."""
    return {
        "given_name": "Ada",
        "family_name": "Ashdown",
        "preferred_name": "",
        "phone": "07700 900123",
        "email": "",
        "born_on": "",
        "guardian_name": "",
        "private_note": "",
    } | changed


def text_of(response):
    return unescape(response.content.decode())


def said(response):
    return [str(message) for message in get_messages(response.wsgi_request)]


def test_quick_find_lists_who_matches(desk):
    ClientFactory(given_name="Zoë", family_name="Quill")
    ClientFactory(given_name="Grace", family_name="Wren")
    page = text_of(desk.get(CLIENTS, {"q": "zoe"}))
    assert "Zoë Quill" in page
    assert "Grace Wren" not in page


def test_a_swap_gets_the_rows_alone_and_going_back_gets_the_page(desk):
    ClientFactory(given_name="Zoë", family_name="Quill")
    swap = desk.get(CLIENTS, {"q": "zoe"}, headers={"HX-Request": "true"})
    assert text_of(swap).lstrip().startswith('<div id="client-rows"')
    back = desk.get(CLIENTS, {"q": "zoe"}, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert "<!doctype html>" in text_of(back)
    assert {"HX-Request", "HX-History-Restore-Request"} <= {name.strip() for name in swap["Vary"].split(",")}


def test_a_page_takes_no_more_queries_for_thirty_clients_than_for_two(desk, queries_for):
    ClientFactory.create_batch(2)
    # session, user, salon, two for her permissions; then the clients, or keys of beginnings, keys within, and clients
    assert (queries_for(CLIENTS), queries_for(CLIENTS + "?q=ada")) == (6, 8)
    ClientFactory.create_batch(PAGE_LENGTH + 3)
    assert (queries_for(CLIENTS), queries_for(CLIENTS + "?q=ada")) == (6, 7)  # beginnings fill the page


def test_the_pages_of_an_answer_lead_on_and_back(desk):
    ClientFactory.create_batch(PAGE_LENGTH + 1)
    assert 'rel="next" href="?q=ada&amp;page=2"' in desk.get(CLIENTS, {"q": "ada"}).content.decode()
    assert 'rel="prev" href="?q=ada&amp;page=1"' in desk.get(CLIENTS, {"q": "ada", "page": "2"}).content.decode()


@pytest.mark.parametrize("page", ["0", "-1", "two", "999999999999", "²", ""])
def test_a_page_that_can_not_be_meant_is_the_first(desk, page):
    ClientFactory(given_name="Zoë", family_name="Quill")
    assert "Zoë Quill" in text_of(desk.get(CLIENTS, {"page": page}))


def test_a_new_client_is_saved_and_her_page_is_next(desk):
    response = desk.post(reverse("client-new"), typed(born_on="1979-04-03"))
    kept = Client.objects.get()
    assert response.url == reverse("client", args=[kept.reference])
    assert said(response) == ["Ada Ashdown is registered."]
    assert f"{kept.born_on}" == "1979-04-03"


def test_a_number_that_can_not_be_one_is_kept_with_a_gentle_word(desk):
    response = desk.post(reverse("client-new"), typed(phone="+44 7700"))
    assert Client.objects.get().phone == "+44 7700"
    assert "no number of that country is written so" in said(response)[1]


def test_a_refused_form_keeps_what_was_typed_and_stores_nothing(desk):
    page = text_of(desk.post(reverse("client-new"), typed(family_name="", born_on="3 April", preferred_name="Bibi")))
    assert "This field is required" in page
    assert "Enter a valid date" in page
    assert "Bibi" in page
    assert not Client.objects.exists()


def test_the_deed_s_own_refusal_stands_on_the_form(desk):
    assert "can't lie in the future" in text_of(desk.post(reverse("client-new"), typed(born_on="2999-01-01")))
    assert "lies in 1900 or later" in text_of(desk.post(reverse("client-new"), typed(born_on="0202-01-01")))
    assert "needs a given name and a family name" in text_of(
        desk.post(reverse("client-new"), typed(given_name="\u0301"))
    )
    assert not Client.objects.exists()


def test_likely_duplicates_are_shown_before_anything_is_saved(desk):
    other = ClientFactory(given_name="Ada", family_name="Ashdown", phone="07700 900999")
    page = text_of(desk.post(reverse("client-new"), typed()))
    assert "Is she here already?" in page
    assert reverse("client", args=[other.reference]) in page
    assert Client.objects.count() == 1
    desk.post(reverse("client-new"), typed(anyway=f"{other.reference} "))
    assert Client.objects.count() == 2


def test_save_anyway_counts_only_for_those_who_were_shown(desk):
    shown = ClientFactory(given_name="Ada", family_name="Ashdown")
    ClientFactory(given_name="Grace", family_name="Wren", phone="07700 900123")
    page = text_of(desk.post(reverse("client-new"), typed(anyway=shown.reference)))
    assert "Grace Wren" in page
    assert Client.objects.count() == 2


def test_details_are_changed_by_whoever_is_signed_in(desk):
    her = ClientFactory()
    response = desk.post(reverse("client-edit", args=[her.reference]), typed(given_name="Adele"))
    assert response.url == reverse("client", args=[her.reference])
    newest = her.history.first()
    assert newest.given_name == "Adele"
    assert newest.history_user.groups.get().name == "Front desk"


def test_a_refused_change_names_her_as_she_is_kept(desk):
    her = ClientFactory(given_name="Ada", family_name="Wren")
    page = text_of(desk.post(reverse("client-edit", args=[her.reference]), typed(given_name="")))
    assert "Ada Wren</a>: change her details" in page


@pytest.mark.parametrize(
    "address", ["/clients/a%00b/", "/clients/C-7K2M9QA%00/edit/", "/clients/c-7k2m9qav/", "/clients/1/"]
)
def test_an_address_without_a_reference_is_no_page(desk, address):
    assert desk.get(address).status_code == 404


def test_an_erased_or_unknown_client_has_no_pages(desk):
    her = ClientFactory()
    Client.objects.filter(pk=her.pk).update(erased_at=her.created_at)
    for name in ("client-edit", "client-consents", "client"):
        for reference in (her.reference, "C-7K2M9QAV"):
            assert desk.get(reverse(name, args=[reference])).status_code == 404
