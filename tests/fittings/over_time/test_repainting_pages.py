"""Painting the same head twice, page by page: the second painting has seen nothing of the first."""

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.models import AccessEntry, Repainting
from clients.models.assessment import NO_LOSS_HEX
from clients.repainting import begin_repainting
from tests.factories import StylistFactory
from tests.fittings.over_time.visits_over_time import examined, painted_twice, round_loss

pytestmark = pytest.mark.django_db

FIRST, SECOND = round_loss(40).to_hex(), round_loss(44).to_hex()


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


def said(response):
    return " ".join(response.content.decode().split())


def post(client, one, round_, **fields):
    return client.post(reverse("repainting", args=[one.reference]), {"round": round_, **fields}, follow=True)


def test_an_example_goes_from_its_choice_to_its_result(client, stylist):
    chosen = client.post(reverse("repainting-new"), {"whose": "top-2"}, follow=True)
    assert "First painting" in said(chosen)
    assert "Top, clearly thinner, from above" in said(chosen)
    one = Repainting.objects.get()
    paused = post(client, one, "first", density_hex=FIRST)
    assert "Between the two paintings" in said(paused)
    second = client.get(reverse("repainting", args=[one.reference]), {"round": "second"})
    assert "Second painting" in said(second)
    assert f'name="density_hex" value="{NO_LOSS_HEX}"' in said(second)
    assert FIRST not in said(second)
    assert "Top, clearly thinner, from above" in said(second)
    result = post(client, one, "second", density_hex=SECOND)
    assert "How far the two lie apart" in said(result)
    assert "1 of 5 heads were painted twice" in said(result)
    one.refresh_from_db()
    assert (one.first_hex, one.second_hex) == (FIRST, SECOND)


def test_an_example_is_not_started_from_its_own_pattern(client, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="top-2")
    assert 'data-patterns="{}"' in said(client.get(one.get_absolute_url()))


def test_a_client_in_the_chair_goes_straight_to_the_second(client, stylist):
    her = examined(round_loss(40), stylist=stylist)
    assessment = her.assessments.get()
    assert f"{her}, examined on" in said(client.get(reverse("repainting-new")))
    paused = client.post(reverse("repainting-new"), {"whose": assessment.reference}, follow=True)
    assert "Paint her a second time now" in said(paused)
    one = Repainting.objects.get()
    assert assessment.density_hex not in said(client.get(one.get_absolute_url(), {"round": "second"}))
    assert AccessEntry.objects.filter(client=her, page="head painted twice").exists()


def test_it_can_be_painted_by_the_table_alone(client, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="top-2")
    post(client, one, "first", density_hex=NO_LOSS_HEX, zone_crown="35")
    one.refresh_from_db()
    assert "23" in one.first_hex  # 35 % in hexadecimal


def test_an_empty_sheet_is_refused_in_a_sentence(client, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="top-2")
    response = post(client, one, "first", density_hex=NO_LOSS_HEX)
    assert response.status_code == 422
    assert "Nothing is painted yet. Paint the head, then go on." in said(response)


def test_an_old_page_s_first_painting_is_not_taken_for_the_second(client, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="top-2")
    post(client, one, "first", density_hex=FIRST)
    again = post(client, one, "first", density_hex=FIRST)
    assert "The first painting is stored already." in said(again)
    one.refresh_from_db()
    assert not one.is_finished


def test_somebody_else_s_is_hers_to_finish_and_drop(client, stylist):
    one = begin_repainting(by=StylistFactory(), at=now(), pattern="top-2")
    assert "The same hand paints both times." in said(client.get(one.get_absolute_url()))
    dropped = client.post(reverse("repainting-drop", args=[one.reference]), follow=True)
    assert "The same hand paints both times" in said(dropped)
    assert Repainting.objects.exists()


def test_the_list_tells_what_it_gives_and_what_can_be_gone_on_with(client, stylist):
    one = begin_repainting(by=stylist, at=now(), pattern="temples")
    begin_repainting(by=StylistFactory(), at=now(), pattern="patches")
    painted_twice(6, share=1.5, area=6.5, by=stylist)
    page = said(client.get(reverse("repaintings")))
    assert "6 heads were painted twice here by the same hand" in page
    assert "Go on: example “Temples”" in page
    assert "Patches" not in page
    assert page.count("+6.5") == 3
    assert page.count("−6.5") == 3
    client.post(reverse("repainting-drop", args=[one.reference]))
    assert "Go on:" not in said(client.get(reverse("repaintings")))


def test_what_is_no_head_is_refused(client, stylist):
    response = client.post(reverse("repainting-new"), {"whose": "nobody"})
    assert response.status_code == 422
    assert "Choose the head to paint: an example, or a client you have examined." in said(response)


def test_the_lists_take_the_same_queries_for_two_heads_as_for_nine(client, stylist, queries_for):
    pages = [reverse("repaintings"), reverse("repainting-new")]

    def grow(count):
        painted_twice(count)
        for _ in range(count):
            examined(round_loss(40), stylist=stylist)
            begin_repainting(by=StylistFactory(), at=now(), pattern="top-2")

    grow(2)
    few = [queries_for(page) for page in pages]
    grow(7)
    assert [queries_for(page) for page in pages] == few
