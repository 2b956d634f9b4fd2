"""The client's own page: one button, nothing of her, nothing for wrong secrets; and the salon's page of her address."""

from datetime import timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.caring import make_wash_link, revoke_wash_link
from fittings.models import OwnedPiece, Wash
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def owned(stylist):
    return OwnedPieceFactory(begun_by=stylist)


@pytest.fixture
def link(owned, stylist):
    return make_wash_link(owned=owned, by=stylist, at=now())


@pytest.fixture
def address(link):
    return reverse("washed", args=[link[1]])


def test_opening_it_changes_nothing_and_names_nobody(client, owned, address):
    page = client.get(address)
    said = page.content.decode()
    assert page.status_code == 200
    assert not Wash.objects.exists()
    assert "I washed it today" in said
    piece = owned.unit.variant.piece
    for hers in (
        owned.client.given_name,
        owned.client.family_name,
        piece.name,
        owned.reference,
        owned.client.reference,
    ):
        assert hers not in said
    for word in ("hair", "wig", "piece", "topper"):
        assert word not in said.lower()


def test_no_cookie_is_set_and_none_is_needed(address):
    browser = Browser(enforce_csrf_checks=True)
    assert not browser.get(address).cookies
    told = browser.post(address)
    assert told.status_code == 200
    assert not told.cookies
    assert Wash.objects.count() == 1


def test_a_second_tap_says_that_it_is_noted(client, address):
    assert "Noted, thank you" in client.post(address, {"deep_care": "yes"}).content.decode()
    assert "Already noted, thank you" in client.post(address).content.decode()
    assert list(Wash.objects.values_list("washed_on", "deep_care")) == [(localdate(), True)]


def test_it_is_kept_nowhere(client, address):
    for answer in (client.get(address), client.post(address), client.get(reverse("washed", args=["x" * 43]))):
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["X-Robots-Tag"] == "noindex, nofollow"
        assert "no-store" in answer["Cache-Control"]


def revoked(owned, link, stylist):
    revoke_wash_link(link=link[0], by=stylist, at=now())


def ended(owned, link, stylist):
    OwnedPiece.objects.filter(pk=owned.pk).update(until=localdate(), ended="lost", ended_by=stylist, ended_at=now())


@pytest.mark.parametrize("gone", [revoked, ended])
def test_an_address_that_opens_nothing_answers_as_one_that_never_was(client, owned, link, address, stylist, gone):
    wrong = reverse("washed", args=["x" * 43])
    gone(owned, link, stylist)
    for ask in (client.get, client.post):
        was, never = ask(address), ask(wrong)
        assert (was.status_code, was.content) == (never.status_code, never.content)
        assert was.status_code == 404
    assert not Wash.objects.exists()


def test_another_way_of_asking_is_not_answered(client, address):
    assert client.put(address).status_code == 405


def test_opening_it_takes_as_few_queries_as_can_be(client, address, queries_for):
    assert queries_for(address) == 2  # the salon, the address


# The salon's page of it


@pytest.fixture
def page(client, stylist, owned):
    client.force_login(stylist)
    return reverse("wash-link-new", args=[owned.reference])


def test_the_address_is_shown_once(client, page, owned):
    shown = client.post(page, follow=True).content.decode()
    secret = shown.split("/washed/")[1].split("/")[0]
    assert client.get(reverse("washed", args=[secret])).status_code == 200
    assert "/washed/" not in client.get(page).content.decode()
    assert owned.wash_links.count() == 1


def test_pressed_twice_there_is_one_and_a_sentence(client, page, owned):
    client.post(page)
    assert "has its address already" in client.post(page, follow=True).content.decode()
    assert owned.wash_links.count() == 1


def test_taken_back_it_opens_nothing(client, page, owned, stylist):
    shown = client.post(page, follow=True).content.decode()
    secret = shown.split("/washed/")[1].split("/")[0]
    back = client.post(reverse("wash-link-revoke", args=[owned.reference]), follow=True)
    assert "opens nothing any more" in back.content.decode()
    assert client.get(reverse("washed", args=[secret])).status_code == 404
    assert owned.wash_links.get().revoked_by == stylist


# On the piece's page


def test_washed_today_by_one_press(client, page, owned, stylist):
    tell = reverse("wash-tell", args=[owned.reference])
    said = client.post(tell, follow=True).content.decode()
    assert "Written down: washed on" in said
    wash = Wash.objects.get()
    assert (wash.washed_on, wash.recorded_by) == (localdate(), stylist)
    assert "written down already" in client.post(tell, follow=True).content.decode()


@pytest.mark.parametrize("day", ["spring", "2026-02-30", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_is_refused_by_a_sentence(client, page, owned, day):
    said = client.post(reverse("wash-tell", args=[owned.reference]), {"washed_on": day}, follow=True)
    assert [message.level_tag for message in said.context["messages"]] == ["error"]
    assert not Wash.objects.exists()


def test_on_another_day_and_with_deep_care(client, page, owned):
    day = localdate() - timedelta(days=3)
    client.post(reverse("wash-tell", args=[owned.reference]), {"washed_on": f"{day}", "deep_care": "yes"})
    assert list(Wash.objects.values_list("washed_on", "deep_care")) == [(day, True)]


def test_a_day_that_is_refused_stands_in_its_field_again(client, page, owned):
    typed = {"washed_on": f"{localdate() + timedelta(days=2)}", "deep_care": "yes"}
    said = client.post(reverse("wash-tell", args=[owned.reference]), typed, follow=True).content.decode()
    assert 'id="another-day" open' in said
    assert f'name="washed_on" value="{typed["washed_on"]}"' in said
    assert 'value="yes" checked' in said


def test_the_page_takes_the_same_queries_for_one_address_as_for_six(client, page, owned, queries_for):
    def anew(times):
        for _ in range(times):
            client.post(reverse("wash-link-revoke", args=[owned.reference]))
            client.post(page)

    anew(1)
    few = queries_for(page)
    anew(5)
    assert queries_for(page) == few
