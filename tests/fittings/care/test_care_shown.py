"""What a piece's page and a client's page say of its care, and to whom."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from fittings.care_pages.shown import next_care
from fittings.caring import work_out_care
from fittings.models import LifeLearnt, OwnedPiece
from tests.factories import STAFF, StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owned():
    piece = OwnedPieceFactory(begun_by=StylistFactory())
    work_out_care(owned=piece, on=localdate())
    return piece


def page(client, owned, role="Stylist"):
    client.force_login(STAFF[role]())
    return client.get(owned.get_absolute_url()).content.decode()


def test_each_date_says_what_it_rests_on_and_that_makers_come_first(client, owned):
    said = page(client, owned)
    for words in (
        "Human hair: a wash every 8 wears",
        "house rule, common practice",
        "Worn 5 days a week",
        "not asked yet, so assumed",
        "The maker’s own instructions come first",
    ):
        assert words in said


def test_the_desk_sees_the_dates_and_not_what_they_rest_on(client, owned):
    said = page(client, owned, "Front desk")
    assert "Check-up" in said
    assert "5 days a week" not in said
    assert "Washed today" not in said


def test_it_says_when_the_figure_is_the_salons_own(client, owned):
    LifeLearnt.objects.create(
        fibre="human", pieces=20, ended=14, median_days=400, low_days=350, high_days=None, learnt_at=owned.begun_at
    )
    work_out_care(owned=owned, on=localdate())
    said = page(client, owned)
    assert "The salon&#x27;s own 20 pieces of human hair, 14 worn out" in said
    assert "no latest day known" in said


def test_one_that_is_not_hers_any_more_shows_no_dates(client, owned):
    ended = {"until": localdate(), "ended": "lost", "ended_by": owned.begun_by, "ended_at": owned.begun_at}
    OwnedPiece.objects.filter(pk=owned.pk).update(**ended)
    work_out_care(owned=owned, on=localdate())
    said = page(client, owned)
    assert "What it rests on" not in said
    assert "Washed today" not in said


def test_the_clients_page_names_the_next_date_of_each_piece(client, owned):
    second = OwnedPieceFactory(client=owned.client, since=localdate() - timedelta(days=2))
    work_out_care(owned=second, on=localdate())
    found = next_care(owned.client)
    assert {row.owned_piece for row in found} == {owned, second}
    assert all(row.due_on == min(row.owned_piece.care_dates.values_list("due_on", flat=True)) for row in found)
    client.force_login(STAFF["Front desk"]())
    assert "Next: wash" in client.get(reverse("client", args=[owned.client.reference])).content.decode()
