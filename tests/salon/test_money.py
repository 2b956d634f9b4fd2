"""Amounts of money, in the minor units of ISO 4217."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iso4217 import Currency

from salon.common.money import MINOR_DECIMALS, format_minor, parse_minor


def test_the_decimals_of_every_currency_are_those_of_iso_4217():
    published = {currency.code: currency.exponent for currency in Currency}  # list one, published 2026-01-01
    assert {code: published[code] for code in MINOR_DECIMALS} == MINOR_DECIMALS


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("1234.5", "GBP", 123450),
        ("£1,234.50", "GBP", 123450),
        ("1,234", "GBP", 123400),
        ("1.234,50 €", "EUR", 123450),
        ("1 234,5 eur", "EUR", 123450),
        ("1'234.50", "CHF", 123450),
        ("1,234,567", "USD", 123456700),
        ("¥1,234", "JPY", 1234),
        ("1234", "JPY", 1234),
        ("1.234", "KWD", 1234),
        ("1,234.567", "KWD", 1234567),
        ("0", "GBP", 0),
    ],
)
def test_an_amount_is_read_in_every_way_it_is_written(text, currency, minor):
    assert parse_minor(text, currency) == minor


@pytest.mark.parametrize(
    ("text", "currency", "words"),
    [
        ("", "GBP", "An amount is missing"),
        ("£", "GBP", "is not an amount of money"),
        ("-5", "GBP", "not less than nothing"),
        ("10–20", "GBP", "write one amount"),
        ("1.234", "GBP", "can be read in two ways"),
        ("1,234", "KWD", "can be read in two ways"),
        ("12.5", "JPY", "finer than the smallest coin"),
        ("1234.567", "GBP", "finer than the smallest coin"),
        ("1,23,456", "GBP", "not where thousands and decimals stand"),
        (".50", "GBP", "not where thousands and decimals stand"),
        ("£12", "EUR", "the currency used here"),
        ("12 quid", "GBP", "the currency used here"),
        ("99999999999", "GBP", "more than a salon ever charges"),
        ("9" * 5000, "GBP", "too long for an amount"),
    ],
)
def test_an_unclear_amount_is_refused_with_what_would_be_right(text, currency, words):
    with pytest.raises(ValueError, match="Write ") as refusal:
        parse_minor(text, currency)
    assert words in str(refusal.value)


def test_an_unknown_currency_is_refused():
    with pytest.raises(ValueError, match="is not a currency code"):
        parse_minor("12", "XYZ")


@given(st.integers(0, 10**12), st.sampled_from(sorted(MINOR_DECIMALS)))
def test_a_printed_amount_reads_back_as_itself(minor, currency):
    assert parse_minor(format_minor(minor, currency), currency) == minor


@given(st.text(alphabet="0123456789.,'-£€$ GBP", max_size=20))
def test_any_text_gives_an_amount_or_a_sentence(text):
    try:
        minor = parse_minor(text, "GBP")
    except ValueError as error:
        refusal = str(error)
    else:
        refusal = ""
    assert refusal.endswith("Write £1,250.00.") or minor >= 0


def test_a_refund_is_printed_with_a_minus():
    assert format_minor(-123450, "GBP") == "−£1,234.50"
