"""The catalogue handed out as files: what reads back in changes nothing, and no cell is a spreadsheet's formula."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from pieces.catalogue import kinds
from pieces.catalogue.cells import Amount
from pieces.catalogue.exporting import exported_columns, exported_lines
from pieces.catalogue.maker_sheets import columns_in
from pieces.models import Base, BaseClip, BaseTapeArea, Maker, Piece, Shade, StockMovement, Unit, Variant
from salon.common.csv_out import as_it_was, cell_of, csv_lines
from salon.demo.catalogue_loading import load_catalogue
from salon.models import Salon
from tests.factories import OwnerFactory, StylistFactory
from tests.pieces.catalogue_files import KINDS, words
from tests.pieces.factories import BaseFactory, MakerFactory, ShadeFactory, VariantFactory

FORMULAS = [
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "'=1+1",
    "''@x",
    "=cmd|' /C calc'!A0",
    "%0A",
    "|x",
    "'tis",
    "-2.5",
    "“=1”",
]
any_text = st.one_of(st.text(max_size=30), st.text(alphabet="'=+-@ \t|%1.,a", max_size=12))


def exported(kind, with_costs=True):
    wanted = kinds(Salon.objects.default().currency)[kind]
    columns = exported_columns(wanted, with_costs=with_costs)
    return "".join(csv_lines([column.name for column in columns], exported_lines(wanted, columns))).encode()


@given(any_text)
def test_a_cell_reads_back_as_it_was_whatever_stood_in_it(text):
    assert as_it_was(str(cell_of(text))) == text


@pytest.mark.parametrize("text", [*FORMULAS, *["plain", "it's", "5'11\""]])
def test_no_cell_begins_like_a_formula_unless_it_is_a_number(text):
    cell = str(cell_of(text))
    assert cell == "-2.5" or not cell.startswith(("=", "+", "-", "@", "|", "%"))
    assert as_it_was(cell) == text


@pytest.mark.django_db
def test_every_kind_reads_back_in_and_changes_nothing(read):
    load_catalogue(by=OwnerFactory())
    report = read(**{kind: exported(kind) for kind in KINDS})
    assert words(report) == []
    assert not report.does_something
    assert sum(tally.unchanged for tally in report.tallies) == 17 + 44 + 64 + Variant.objects.count() + 160


@pytest.mark.django_db
def test_what_was_handed_out_builds_the_same_catalogue_anew(read):
    load_catalogue(by=OwnerFactory())
    files = {kind: exported(kind) for kind in KINDS if kind != "units"}
    for model in (StockMovement, Unit, Variant, Piece, BaseClip, BaseTapeArea, Base, Shade, Maker):
        model.objects.all()._raw_delete("default")
    assert read(**files).stored
    assert {kind: exported(kind) for kind in files} == files


@pytest.mark.django_db
@pytest.mark.parametrize("text", FORMULAS)
def test_names_that_look_like_formulas_come_back_as_themselves(read, text):
    base = BaseFactory(maker=MakerFactory(name=f"{text} Hair"), name=text)
    ShadeFactory(maker=base.maker, code=text[:24], name=text)
    for kind in ("bases", "shades"):
        content = exported(kind)
        assert words(read(dry_run=True, **{kind: content})) == []
        assert not read(**{kind: content}).does_something
        row = next(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
        assert not row["name"].startswith(("=", "+", "@", "|", "%"))


@pytest.mark.django_db
def test_measured_colours_read_back_to_the_last_digit(read):
    numbers = {"root_l": 0.1 + 0.2, "root_a": -1e-05, "root_b": 9.869604401089358, "mid_l": 100.0, "mid_a": -128.0}
    rest = {"mid_b": 0.0, "ends_l": 1 / 3, "ends_a": 2 / 3, "ends_b": 1e-9}
    ShadeFactory(method="instrument", **numbers, **rest)
    assert not read(shades=exported("shades")).does_something


@pytest.mark.django_db
def test_a_price_in_another_currency_is_handed_out_with_its_code_and_refused_when_read(read):
    VariantFactory(price_minor=124900, cost_minor=None)
    Salon.objects.default()
    Salon.objects.update(currency="JPY")
    assert "GBP 1249.00" in exported("variants").decode()
    assert "is not an amount in JPY" in words(read(variants=exported("variants")))[0]


@pytest.mark.parametrize(
    ("amount", "written"),
    [(Amount(5, "GBP"), "0.05"), (Amount(124900, "GBP"), "1249.00"), (Amount(1234567, "EUR"), "EUR 12345.67")],
)
def test_amounts_are_written_as_plain_numbers(amount, written):
    assert kinds("GBP")["variants"].by_name["price"].write(amount) == written


@pytest.mark.parametrize("currency", ["GBP", "JPY", "KWD"])
@given(minor=st.integers(0, 2**31 - 1))
def test_every_amount_reads_back(currency, minor):
    column = kinds(currency)["variants"].by_name["price"]
    assert column.cell.read(column.write(Amount(minor, currency))) == Amount(minor, currency)


@pytest.mark.django_db
def test_a_file_without_costs_leaves_them_when_it_is_read(read):
    variant = VariantFactory(cost_minor=56000)
    content = exported("variants", with_costs=False)
    assert b"cost" not in content
    assert not read(variants=content).does_something
    assert Variant.objects.get(pk=variant.pk).cost_minor == 56000


@pytest.mark.django_db
def test_the_page_hands_out_each_kind_to_be_saved_and_knows_no_other(owner):
    load_catalogue(by=OwnerFactory())
    for kind in KINDS:
        answer = owner.get(reverse("catalogue-export", args=[kind]))
        content = b"".join(answer.streaming_content)
        assert answer["Content-Disposition"] == f'attachment; filename="{kind}.csv"'
        assert answer["Cache-Control"] == "private, no-store"
        assert content == exported(kind)
        assert columns_in(content)[0].samples
    assert owner.get(reverse("catalogue-export", args=["hats"])).status_code == 404


@pytest.mark.django_db
def test_an_empty_catalogue_is_a_header(owner):
    answer = owner.get(reverse("catalogue-export", args=["variants"]))
    assert (
        b"".join(answer.streaming_content).decode("utf-8-sig").startswith("maker,base,piece,shade,length_mm,price,cost")
    )


@pytest.mark.django_db
@pytest.mark.parametrize("kind", KINDS)
def test_a_long_catalogue_takes_the_same_queries_as_a_short_one(kind):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            exported(kind)
        return len(asked)

    def add(count):
        for _ in range(count):
            VariantFactory().units.create(received_on="2026-03-01")

    Salon.objects.default()
    add(3)
    few = queries()
    add(27)
    assert queries() == few


@pytest.mark.django_db
def test_who_may_not_change_the_catalogue_hands_none_out(client):
    client.force_login(StylistFactory())
    assert client.get(reverse("catalogue-export", args=["variants"])).status_code == 403
