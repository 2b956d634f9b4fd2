"""The pages of finding a client, taking her in and changing her details."""

from html import unescape
from urllib.parse import quote

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


def test_it_is_said_why_it_may_be_her_and_one_press_leads_to_her(desk):
    other = ClientFactory(given_name="Grace", family_name="Wren", phone="07700 900123")
    page = text_of(desk.post(reverse("client-new"), typed()))
    assert "The same phone number" in page
    assert f'href="{other.get_absolute_url()}">This is her' in page


def test_a_page_that_needs_a_client_gets_the_new_one_or_the_one_who_is_here_already(desk):
    other = ClientFactory(given_name="Ada", family_name="Ashdown")
    address = reverse("client-new") + "?book=1&next=" + quote("/appointments/new/?day=2025-03-14&client=C-0&kind=3")
    onward = "/appointments/new/?day=2025-03-14&kind=3&client="
    page = text_of(desk.post(address, typed()))
    assert f'href="{onward}{other.reference}">This is her' in page.replace("&amp;", "&")
    response = desk.post(address, typed(given_name="Grace", family_name="Wren"))
    assert response.url == onward + Client.objects.latest("pk").reference


@pytest.mark.parametrize(
    "address", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "\x00", "' OR 1 --"]
)
def test_nobody_is_led_out_of_the_site(desk, address):
    response = desk.post(reverse("client-new") + "?next=" + quote(address), typed())
    assert response.url == Client.objects.get().get_absolute_url()


@pytest.mark.parametrize(
    ("looked_for", "filled_in"),
    [
        ("Zoë Quill", ['value="Zoë"', 'value="Quill"']),
        ("07700 900123", ['value="07700 900123"']),
        ("zoe@weir.example", ['value="zoe@weir.example"']),
    ],
)
def test_who_was_looked_for_in_vain_is_filled_in(desk, looked_for, filled_in):
    link = reverse("client-new") + "?typed=" + quote(looked_for, safe="")
    assert f'href="{link}"' in desk.get(CLIENTS, {"q": looked_for}).content.decode()
    page = text_of(desk.get(link))
    assert all(value in page for value in filled_in)


def test_what_can_wait_is_folded_away_until_something_in_it_is_filled_in_or_refused(desk):
    assert '<details class="more">' in text_of(desk.get(reverse("client-new")))
    refused = text_of(desk.post(reverse("client-new"), typed(born_on="3 April")))
    assert '<details class="more" open>' in refused
    her = ClientFactory(preferred_name="Bibi")
    assert '<details class="more" open>' in text_of(desk.get(reverse("client-edit", args=[her.reference])))


@pytest.mark.parametrize(
    ("phone", "said"),
    [
        ("07700900123", 'Reads as <strong class="number">07700 900123</strong>'),
        ("+33123456789", "+33 1 23 45 67 89"),
        ("07700 9001234", "no number here is written so"),
        ("<b>", "“&lt;b&gt;” is kept as typed"),
        ("", "As she says it."),
    ],
)
def test_a_number_is_spaced_or_doubted_while_it_is_typed(desk, phone, said):
    assert said in desk.get(reverse("client-phone"), {"phone": phone}).content.decode()


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
