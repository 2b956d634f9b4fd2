"""What the review counts, held against plain counting over the same rows; and the rows behind every number."""

import csv
from collections import Counter
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from fittings.review.visits import led_to, tried_by_group
from pieces.models import AskedFor, Unit
from pieces.owner_review import in_common_counts, what_was_sold
from pieces.review.in_common import LOOKED_AT
from pieces.review.spans import Span
from pieces.review_asked import Asked
from pieces.review_groups import GROUPINGS
from pieces.stock import take_in_brought_unit, take_in_unit
from pieces.stock_review import stock_by_group, units_that_could_be_sold
from tests.fittings.review.shop import ask_in_vain, days_ago, small_shop
from tests.pieces.factories import VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return small_shop()


def asked(by="piece", days=400):
    today = localdate()
    return Asked(Span(today - timedelta(days=days - 1), today), today, GROUPINGS[by], "GBP")


def in_span(shop):
    return [sale for sale in shop.sold if sale["days"] < 400]


def test_sales_returns_and_what_was_kept(shop):
    sums, sold = what_was_sold(asked()).all, in_span(shop)
    old = {after: [sale for sale in sold if sale["days"] > after] for after in (30, 90)}
    kept = {after: [sale for sale in old[after] if sale["back"] is None or sale["back"] > after] for after in (30, 90)}
    assert sums.sold == len(sold) == 8
    assert sums.returned == sum(sale["back"] is not None for sale in sold) == 4
    assert (sums.old_30, sums.kept_30) == (len(old[30]), len(kept[30])) == (6, 4)
    assert (sums.old_90, sums.kept_90) == (len(old[90]), len(kept[90])) == (4, 2)
    assert (sums.judged, sums.judged_back) == (6, 3)
    assert sums.days_until_sold == sum(sale["lay"] for sale in sold)


def test_the_margin_rests_on_what_was_kept_and_has_a_cost(shop):
    sums = what_was_sold(asked()).all
    price, cost = {0: 124900, 2: 39900}, {0: 56000, 2: 15000}
    counted = [sale["variant"] for sale in in_span(shop) if sale["back"] is None and sale["variant"] in cost]
    assert sums.costed == len(counted) == 2
    assert sums.net_minor == sum(price[variant] for variant in counted)
    assert sums.spent_minor == sum(cost[variant] for variant in counted)


@pytest.mark.parametrize("by", GROUPINGS)
def test_groups_add_up_to_all(shop, by):
    found = what_was_sold(asked(by))
    assert sum(sums.sold for sums in found.by_group.values()) == 8
    assert sum(sums.back_90 for sums in found.by_group.values()) == found.all.back_90 == 2
    assert sum(tried.put_forward for tried in tried_by_group(asked(by)).values()) == 8


@pytest.mark.parametrize(
    ("by", "expected"),
    [("fibre", {"Human hair": 5, "Standard synthetic": 3}), ("length", {"30.0 cm": 3, "35.0 cm": 3, "40.0 cm": 2})],
)
def test_groups_hold_what_belongs_to_them(shop, by, expected):
    found = {group.name.split(" to ")[0]: sums.sold for group, sums in what_was_sold(asked(by)).by_group.items()}
    assert found == expected


def test_reasons_are_counted_for_all_that_came_back(shop):
    expected = Counter(shop.reasons[sale["reason"]].name for sale in in_span(shop) if sale["back"] is not None)
    assert {name: count for (_, name), count in what_was_sold(asked()).by_reason.items()} == expected


def test_measurements_of_what_came_back_and_of_what_was_kept(shop):
    kept, returned = in_common_counts(asked(), LOOKED_AT)
    judged = [sale for sale in in_span(shop) if sale["days"] > 30 and sale["margin"] is not None]
    for counts, came_back in ((kept, False), (returned, True)):
        margins = [sale["margin"] for sale in judged if (sale["back"] is not None) == came_back]
        assert counts["margin_mm"] == (sum(margin < 10 for margin in margins), sum(margin >= 10 for margin in margins))
    assert returned["cover"] == kept["cover"] == (0, 0)  # nobody measured it


def test_consults_and_how_far_they_led(shop):
    led = led_to(asked())
    visits = [sale for sale in in_span(shop) if sale["visit"]]
    assert (led.consults, led.tried, led.sold) == (len(visits) + 2, len(visits) + 1, len(visits)) == (8, 7, 6)
    assert (led.old_30, led.kept_30, led.old_90, led.kept_90) == (5, 3, 3, 1)


def test_the_drawers(shop):
    found = {group.name.split(",")[0]: stock for group, stock in stock_by_group(asked("fibre")).items()}
    human, synthetic = found["Human hair"], found["Standard synthetic"]
    # human hair: five sold in the span, one before it, one that lies here; two came back and are here again
    assert (human.could, human.lying, human.try_on) == (6, 3, 1)
    assert (synthetic.could, synthetic.lying) == (5, 4)
    assert (human.dead, synthetic.dead) == (0, 0)  # old ones are here, but of kinds that were sold lately
    assert human.lying_minor == 3 * 56000
    assert synthetic.lying_minor == 4 * 15000


def test_dead_stock_is_old_and_of_a_kind_that_nobody_takes(shop):
    shop.variants.append(VariantFactory(piece=shop.variants[0].piece, cost_minor=61000))
    shop.unit(3, 200)
    shop.unit(3, 100)
    [human] = [stock for group, stock in stock_by_group(asked("fibre")).items() if group.key == "human"]
    assert (human.dead, human.dead_minor) == (1, 61000)


def test_a_piece_that_wore_out_at_a_clients_long_ago_is_taken_off_once(shop):
    before = stock_by_group(asked())
    worn = Unit.objects.get(sale_lines__handed_over_at__lt=asked().since)
    take_in_unit(unit=worn, to="gone", because="Worn out", by=shop.owner, at=asked().since - timedelta(days=10))
    assert stock_by_group(asked()) == before
    assert sum(stock.could for stock in before.values()) == units_that_could_be_sold(asked()).count()


def test_money_of_dead_stock_is_written_to_the_file_as_money(shop, client):
    shop.variants.append(VariantFactory(piece=shop.variants[0].piece, cost_minor=61050))
    shop.unit(3, 200)
    client.force_login(shop.owner)
    found = client.get(f"{reverse('review-csv', args=['stock'])}?by=fibre")
    header, everything, *_ = csv.reader(b"".join(found.streaming_content).decode("utf-8-sig").splitlines())
    assert dict(zip(header, everything, strict=True))["Dead stock: cost"] == "610.50"


def test_a_unit_that_a_client_brought_was_never_the_salons(shop):
    before = stock_by_group(asked("maker"))
    brought = take_in_brought_unit(variant=shop.variants[0], received_on=localdate(), by=shop.owner)
    assert brought.state == "drawer"
    assert stock_by_group(asked("maker")) == before


def numbers_that_open(page):
    """(address, number) of every cell that leads to rows and counts them."""
    for table in page.tables.values():
        for row in table.rows:
            for cell in row.cells:
                if "what=" in cell.href and isinstance(cell.values[0], int):
                    yield cell.href, cell.values[0]
                if "what=" in cell.more_href:
                    yield cell.more_href, cell.values[1]


@pytest.mark.parametrize("by", GROUPINGS)
def test_every_number_opens_as_many_rows(shop, client, by):
    ask_in_vain(shop, 1, 3)
    for number in range(2):
        missed = {"words": "A fringe, copper", "length_mm": 200, "visit_reference": f"F-MISSED{number:02d}"}
        AskedFor.objects.create(**missed, asked_at=days_ago(30), asked_by=shop.owner)
    client.force_login(shop.owner)
    page = client.get(f"{reverse('review')}?span=24-months&by={by}").context["page"]
    opened = dict.fromkeys(numbers_that_open(page))
    assert len(opened) > 20
    for address, number in opened:
        found = client.get(address)
        assert found.status_code == 200, address
        what = parse_qs(urlsplit(address).query)["what"]
        assert found.context["page"].paginator.count == number, (what, address)


def test_a_file_holds_the_rows_of_its_table(shop, client):
    client.force_login(shop.owner)
    page = client.get(f"{reverse('review')}?by=fibre").context["page"]
    for key, table in page.tables.items():
        found = client.get(f"{reverse('review-csv', args=[key])}?by=fibre")
        lines = b"".join(found.streaming_content).decode("utf-8-sig").splitlines()
        assert len(lines) == len(table.rows) + 1
        assert lines[0].count(",") >= len(table.header) - 1
    rows = client.get(f"{reverse('review-csv', args=['rows'])}?what=sold&span=12-months")
    assert len(b"".join(rows.streaming_content).decode().splitlines()) == 8 + 1
