"""The owner's review as a page: who sees it, what it says of little and of nothing, what becomes of its proposal."""

import csv
import re
from html import unescape
from uuid import uuid4
from xml.etree import ElementTree

import pytest
from django.urls import reverse
from pytest_django.asserts import assertRedirects

from fittings.models import HouseRule
from pieces.models import MakerOrder
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.review.shop import Shop, ask_in_vain, small_shop
from tests.pieces.factories import ReturnReasonFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    owner = OwnerFactory()
    client.force_login(owner)
    return owner


def words_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.mark.parametrize("role", [DeskFactory, StylistFactory])
def test_costs_are_for_the_owner(client, role):
    client.force_login(role())
    for address in (reverse("review"), f"{reverse('review-rows')}?what=sold", reverse("review-csv", args=["stock"])):
        assert client.get(address).status_code == 403
    assert client.post(reverse("review-order")).status_code == 403
    assert "Review</a>" not in client.get(reverse("today")).content.decode()


def test_an_empty_salon_is_told_so_in_every_part(client, owner):
    said = words_of(client.get(reverse("review")))
    for sentence in (
        "There was no consult in these days.",
        "Nothing was put forward or sold in these days.",
        "Nothing lay in the drawers and nothing was sold in these days.",
        "No piece was sold long enough ago to say.",
        "Nothing of what was sold in these days has come back.",
        "No piece has been a client’s yet.",
        "No piece falls due in the next 90 days.",
        "Nothing needs ordering",
    ):
        assert sentence in said


def test_one_return_of_one_leads_no_list(client, owner):
    Shop().sell(0, 100, back_after=5)
    page = client.get(reverse("review")).context["page"]
    [row] = page.tables["returns"].rows
    assert row.cells[0].shown == "too few"
    assert row.cells[1].shown == "100 %"
    assert "1 of 1" in row.cells[1].more


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("span=own&since=2026-02-02&until=2026-02-01", "The last day lies before the first."),
        ("span=own&since=2026-02-02", "Write the first and the last day, or choose a span of the list."),
        (
            "span=own&since=1066-10-14&until=2026-02-01",
            "The review looks back: write a day from 1 January 2000 to today.",
        ),
        ("span=own&since=2026-02-01&until=9999-12-31", "The review looks back"),
        ("span=fortnight", "There is no such span of days."),
        ("by=moon", "The review can’t be grouped by that."),
    ],
)
def test_what_cannot_be_meant_is_said_calmly(client, owner, query, sentence):
    found = client.get(f"{reverse('review')}?{query}")
    assert found.status_code == 200
    assert sentence.replace("’", "'") in words_of(found).replace("&#x27;", "'")
    assert "page" not in found.context or not found.context["page"]


def test_what_is_asked_with_get_carries_no_token_into_the_address(client, owner):
    page = client.get(reverse("review")).content.decode()
    [asked] = re.findall(r'<form class="card review-asked".*?</form>', page, re.S)
    assert "csrfmiddlewaretoken" not in asked


def test_rows_and_files_that_are_not_there_are_not_found(client, owner):
    for query in (
        "what=moon",
        "what=trait:margin_mm",
        "what=reason:x",
        "what=sold&group=moon&by=piece",
        "what=&by=moon",
    ):
        assert client.get(f"{reverse('review-rows')}?{query}").status_code == 404
    assert client.get(reverse("review-csv", args=["moon"])).status_code == 404


def test_rows_say_which_reason_fibre_or_piece_they_are_of(client):
    shop = small_shop()
    client.force_login(shop.owner)
    variant, reason = VariantFactory(), ReturnReasonFactory()
    for what, told in (
        (f"reason:{reason.pk}", f"Pieces that came back for this reason: {reason}"),
        ("fibre:human", "were ever a client’s: Human hair"),
        ("due:human.ahead", "Due within 90 days: Human hair"),
        ("due:all.ahead", "Due within 90 days</h1>"),
        (f"variant-sold:{variant.pk}", f"Sold in the span: {variant}"),
        (f"variant-asked:{variant.pk}", f"Asked for, not in the drawer: {variant}"),
        (f"variant-here:{variant.pk}", f"To sell here now: {variant}"),
        ("variant-sold:999999", "Sold in the span</h1>"),
    ):
        page = unescape(client.get(reverse("review-rows"), {"what": what}).content.decode()).replace(
            "\N{NO-BREAK SPACE}", " "
        )
        assert told in page, what


def test_every_column_of_a_file_has_a_name_of_its_own(client):
    shop = small_shop()
    client.force_login(shop.owner)
    for table in ("steps", "kept-by-group", "stock", "returns", "reasons", "in-common", "lives", "due", "order"):
        file = b"".join(client.get(reverse("review-csv", args=[table])).streaming_content).decode("utf-8-sig")
        header = next(csv.reader([file.splitlines()[0]]))
        assert len(header) == len(set(header)), table


def test_rows_of_nothing_lead_to_the_numbers(client, owner):
    assertRedirects(client.get(reverse("review-rows")), reverse("review"))


def test_no_picture_brings_a_style_or_a_name_of_another(client):
    shop = small_shop()
    client.force_login(shop.owner)
    page = client.get(f"{reverse('review')}?span=24-months&by=fibre")
    html = page.content.decode()
    assert " style=" not in html
    assert "<style" not in html
    assert html.count("<svg") >= 3
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    for section in page.context["page"].sections:
        if section.picture:
            root = ElementTree.fromstring(section.picture)  # noqa: S314  # our own drawing
            assert [child.tag.split("}")[1] for child in root][:2] == ["title", "desc"]
            assert root[1].text


def test_as_many_queries_for_few_sales_as_for_many(client, queries_for):
    shop = small_shop()
    ask_in_vain(shop, 1, 9)  # so that something is proposed both times
    client.force_login(shop.owner)
    addresses = [f"{reverse('review')}?by={by}" for by in ("piece", "stylist")]
    addresses.append(f"{reverse('review-rows')}?what=sold")
    few = [queries_for(address) for address in addresses]
    for number in range(24):
        shop.sell(number % 3, 35 + number, back_after=4 if number % 4 == 0 else None, visit=number % 8 == 0)
    assert few == [queries_for(address) for address in addresses]


# the proposal


def test_what_was_asked_for_in_vain_is_proposed_and_becomes_a_draft_for_each_maker(client):
    shop = small_shop()
    ask_in_vain(shop, 1, 3)
    client.force_login(shop.owner)
    page = client.get(reverse("review")).context["page"]
    first = page.reorder.proposal.lines[0]
    assert (first.key, first.asked) == (shop.variants[1].pk, 3)
    counts = {f"count-{shop.variants[1].pk}": "4", f"count-{shop.variants[2].pk}": "2", "once": str(uuid4())}
    for _ in range(2):  # a double press drafts once
        assert client.post(reverse("review-order"), counts).status_code == 302
    drafts = {order.maker.name: order.lines.get() for order in MakerOrder.objects.all()}
    assert {maker: (line.variant, line.count) for maker, line in drafts.items()} == {
        "Marrowick Atelier": (shop.variants[1], 4),
        "Pellward & Daughter": (shop.variants[2], 2),
    }


def test_a_number_that_can_not_be_ordered_is_said_beside_it_and_stays(client):
    shop = small_shop()
    client.force_login(shop.owner)
    for typed in ("many", "-1", "501"):
        answer = client.post(reverse("review-order"), {f"count-{shop.variants[0].pk}": typed})
        assert "Write a whole number from 0 to 500." in words_of(answer)
        assert f'value="{typed}"' in answer.content.decode()
        assert '#order">' in answer.content.decode(), "the long page opens where it is said"
    answer = client.post(reverse("review-order"), {f"count-{shop.variants[0].pk}": "0"})
    assert "Write how many of at least one piece." in words_of(answer)
    assert not MakerOrder.objects.exists()


def test_what_a_colour_difference_is_stands_below_the_table_that_counts_with_it(client, owner):
    HouseRule.objects.create(key="band_disappears", value=2.5)
    small_shop()
    said = words_of(client.get(reverse("review")))
    assert "a colour difference over ΔE00 4.0" in said
    assert "ΔE00 is how far two colours lie apart, here the shade and her own hair; by the house rules the" in said
    assert "disappears up to 2.5." in said
