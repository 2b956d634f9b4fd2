"""The pages of merging: which other record, both side by side, what was done, and the old reference everywhere."""

from html import unescape

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from clients.merging import merge_clients
from clients.models import Client, Merge
from tests.clients.records_to_merge import AT, a_record
from tests.factories import ClientFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def two():
    """(kept, goes into it)"""
    keep = ClientFactory(given_name="Ada", family_name="Wren", phone="07700 900123", private_note="Tea")
    return keep, ClientFactory(given_name="Ada", family_name="Wrenn", phone="01632 960007", private_note="Stairs")


def side_by_side(keep, gone):
    return reverse("client-merge", args=[keep.reference]) + f"?with={gone.reference}"


def text_of(response):
    return unescape(response.content.decode())


def said(response):
    return [str(message) for message in get_messages(response.wsgi_request)]


def test_likely_records_are_offered_and_others_found(desk, two):
    keep, gone = two
    zoe = ClientFactory(given_name="Zoë", family_name="Quill")
    which = reverse("client-merge", args=[keep.reference])
    page = text_of(desk.get(which))
    assert "the same name but for one letter" in page
    assert side_by_side(keep, gone) in page
    assert zoe.reference not in page
    part = text_of(desk.get(which, {"q": "qui"}, headers={"HX-Request": "true"}))
    assert part.lstrip().startswith('<div id="merge-found"')
    assert side_by_side(keep, zoe) in part
    assert "No other record matches “ada wren”" not in text_of(desk.get(which, {"q": "wren"}))
    assert "No other record matches “zzz”" in text_of(desk.get(which, {"q": "zzz"}))


def test_both_are_shown_with_what_differs_and_the_way_round(desk, two):
    keep, gone = two
    page = text_of(desk.get(side_by_side(keep, gone)))
    for name, words in (("phone", "01632 960007"), ("family_name", "Wrenn")):
        assert f'name="{name}"' in page
        assert words in page
    assert 'name="given_name"' not in page
    assert "Both, one after the other" in page
    assert side_by_side(gone, keep) in page


def test_one_press_merges_by_the_words_chosen_and_the_merge_says_what_it_did(desk, two):
    keep, gone = two
    answers = {"family_name": "gone", "phone": "kept", "private_note": "both"}
    response = desk.post(side_by_side(keep, gone), answers)
    merge = Merge.objects.get()
    assert response.url == reverse("merge", args=[merge.reference])
    keep.refresh_from_db()
    assert (keep.family_name, keep.phone, keep.private_note) == ("Wrenn", "07700 900123", "Tea\n\nStairs")
    page = text_of(desk.get(response.url))
    assert "Wren → Wrenn" in page
    assert "01632 960007" in page, "what the other record said is not lost"
    assert merge.reference in text_of(desk.get(keep.get_absolute_url()))


def test_a_choice_left_open_or_impossible_is_asked_again_and_changes_nothing(desk, two):
    keep, gone = two
    for answers in ({}, {"family_name": "both", "phone": "kept", "private_note": "both"}):
        assert desk.post(side_by_side(keep, gone), answers).status_code == 200
    assert not Merge.objects.exists()


def test_what_forbids_it_is_said_before_the_press_and_after(desk):
    keep, gone = a_record(hours=[1], given_name="Ada"), a_record(hours=[1], given_name="Ada")
    answers = dict.fromkeys(("family_name", "phone"), "kept")
    for page in (desk.get(side_by_side(keep, gone)), desk.post(side_by_side(keep, gone), answers)):
        assert "The client has another appointment at that time." in text_of(page)
        assert "Merge the two</button>" not in text_of(page)
    assert not Merge.objects.exists()


@pytest.mark.parametrize("other", ["C-7K2M9QAV", "x", "\x00", "C-7K2M9QA\x00"])
def test_a_record_that_is_none_is_no_page(desk, two, other):
    assert desk.get(reverse("client-merge", args=[two[0].reference]), {"with": other}).status_code == 404
    assert desk.get(side_by_side(two[0], two[0])).status_code == 404


def test_the_front_desk_is_told_no_health_fact_in_a_merge(client):
    keep, gone = a_record(reacts_to=["nickel"]), a_record(reacts_to=["nickel", "latex"], tests=1)
    client.force_login(DeskFactory())
    before = text_of(client.get(side_by_side(keep, gone)))
    answers = dict.fromkeys(("family_name", "phone"), "kept")
    after = text_of(client.post(side_by_side(keep, gone), answers, follow=True))
    for page in (before, after):
        assert "ensitivit" not in page
        assert "Nickel" not in page
        assert "skin test" not in page
        assert "in the parts of her record that you do not see" in page
    client.force_login(StylistFactory())
    assert "Nickel" in text_of(client.get(reverse("merge", args=[Merge.objects.get().reference])))


def test_undoing_makes_them_two_again_and_says_what_is_not_as_before(desk, two):
    keep, gone = two
    merge = merge_clients(keep=keep, gone=gone, by=DeskFactory(), at=AT, take={"phone": "gone"})
    Client.objects.filter(pk=keep.pk).update(phone="07700 900777")
    undo = reverse("merge-undo", args=[merge.reference])
    response = desk.post(undo)
    assert response.url == reverse("merge", args=[merge.reference])
    assert said(response)[-2:] == [
        f"{keep.reference} and {gone.reference} are two records again.",
        "The phone was changed since and stays as it is.",
    ]
    assert "Undone" in text_of(desk.get(response.url))
    assert said(desk.post(undo))[-1] == "This merge has been undone already."
    assert "Undone" in text_of(desk.get(keep.get_absolute_url()))


@pytest.mark.parametrize("name", ["client", "client-edit", "client-consents", "client-merge", "photos"])
def test_the_old_reference_leads_to_the_kept_record_on_every_page(client, two, name):
    client.force_login(StylistFactory())
    keep, gone = two
    merge_clients(keep=keep, gone=gone, by=DeskFactory(), at=AT)
    old, new = (reverse(name, args=[record.reference]) for record in (gone, keep))
    assert client.get(old + "?before=1-2-3").url == new + "?before=1-2-3"
    assert client.get(new).status_code in {200, 403}  # of photos: no consent yet


def test_the_old_reference_leads_on_behind_the_question_mark_and_along_a_chain(desk, two):
    keep, gone = two
    last = ClientFactory()
    merge_clients(keep=keep, gone=gone, by=DeskFactory(), at=AT)
    merge_clients(keep=last, gone=keep, by=DeskFactory(), at=AT)
    new = reverse("appointment-new")
    assert desk.get(new, {"client": gone.reference}).url == f"{new}?client={last.reference}"
    assert desk.get(reverse("clients"), {"q": gone.reference}).context["found"].clients == [last]


def test_a_post_to_the_old_reference_saves_nothing_and_says_so(desk, two):
    keep, gone = two
    merge_clients(keep=keep, gone=gone, by=DeskFactory(), at=AT)
    response = desk.post(reverse("client-edit", args=[gone.reference]), {"given_name": "Zoë", "family_name": "Quill"})
    assert response.url == keep.get_absolute_url()
    assert "went into this record meanwhile. Nothing was saved" in said(response)[0]
    keep.refresh_from_db()
    assert keep.given_name == "Ada"
