"""How much is it: reads and writes amounts of money as whole numbers of a currency's smallest unit.

An amount is an integer of minor units (pence, cents, fils) with an ISO 4217 code: 1234 GBP is £12.34, 1234 JPY is
¥1,234 and 1234 KWD is 1.234 dinars. Rates, tax and rounding of shares are for those who reckon with them.
Source: ISO 4217 list one, published 2026-01-01 (codes and minor units: MEMORY, checked in the tests against a package
that carries the published list). Fund codes and metals are left out: nobody pays for a piece with them.
"""

import re
from typing import Final

_CODES_BY_DECIMALS: Final = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF",
    2: (
        "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC"
        " CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR"
        " JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD"
        " NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN"
        " SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG"
    ),
    3: "BHD IQD JOD KWD LYD OMR TND",
}
MINOR_DECIMALS: Final = {code: decimals for decimals, codes in _CODES_BY_DECIMALS.items() for code in codes.split()}
"""Decimals of every currency in which an amount may be kept, by its ISO 4217 code."""

_SYMBOLS: Final = {"GBP": "£", "EUR": "€", "USD": "$", "JPY": "¥"}
_LARGEST_MINOR: Final = 10**12  # more than any shop's year in any currency
_LONGEST_TEXT: Final = 40
_AMOUNT: Final = re.compile(r"[.,'’]?[0-9][0-9.,'’ ]*")


def minor_decimals(currency: str) -> int:
    """How many decimals the currency has; ValueError for a code that is not in the list."""
    if currency not in MINOR_DECIMALS:
        raise ValueError(f"“{currency}” is not a currency code. Write three capital letters of ISO 4217, such as GBP.")
    return MINOR_DECIMALS[currency]


def parse_minor(text: str, currency: str) -> int:
    """The amount in minor units of `currency` that `text` means.

    Takes the currency's code or sign before or after, grouped thousands, and point or comma before the decimals.
    Raises ValueError with a sentence for an amount that is unclear, negative, or finer than the smallest coin.
    >>> parse_minor("£1,234.50", "GBP"), parse_minor("1.234,50 EUR", "EUR"), parse_minor("1,234", "JPY")
    (123450, 123450, 1234)
    """
    decimals = minor_decimals(currency)
    write = f"Write {_example(currency)}."
    typed = text.strip()
    if not typed:
        raise ValueError(f"An amount is missing. {write}")
    if len(typed) > _LONGEST_TEXT:
        raise ValueError(f"“{typed[:_LONGEST_TEXT]}…” is too long for an amount. {write}")
    if re.search("[-−–]", typed):
        raise ValueError(f"“{typed}” has a minus or a range in it: write one amount, not less than nothing. {write}")
    number, words = _number_and_words(typed)
    if any(word.upper() != currency and word != _SYMBOLS.get(currency, currency) for word in words):
        raise ValueError(f"“{typed}” is not an amount in {currency}, the currency used here. {write}")
    if number is None:
        raise ValueError(f"“{typed}” is not an amount of money. {write}")
    whole, fine = _whole_and_decimals(number, decimals, typed, write)
    minor: int = int(whole) * 10**decimals + int(fine.ljust(decimals, "0") or 0)
    if minor > _LARGEST_MINOR:
        raise ValueError(f"“{typed}” is more than a salon ever charges. {write}")
    return minor


def format_minor(minor: int, currency: str) -> str:
    """The amount as it is printed, thousands grouped by commas.

    >>> format_minor(123450, "GBP"), format_minor(-500, "EUR"), format_minor(1234, "KWD")
    ('£1,234.50', '−€5.00', 'KWD 1.234')
    """
    decimals = minor_decimals(currency)
    whole, fine = divmod(abs(minor), 10**decimals)
    number = f"{whole:,}" + (f".{fine:0{decimals}d}" if decimals else "")
    return ("−" if minor < 0 else "") + _SYMBOLS.get(currency, f"{currency} ") + number


def _example(currency: str) -> str:
    return format_minor(1250 * 10 ** minor_decimals(currency), currency)


def _number_and_words(typed: str) -> tuple[str | None, list[str]]:
    """The one number in the text, and what else is written there."""
    numbers = [found.group().strip() for found in _AMOUNT.finditer(typed)]
    words = [word for word in re.split(r"[0-9.,'’\s]+", typed) if word]
    return (numbers[0] if len(numbers) == 1 else None), words


def _whole_and_decimals(number: str, decimals: int, typed: str, write: str) -> tuple[str, str]:
    """Digits before and after the decimal mark; refuses a mark that could also group thousands."""
    plain = re.fullmatch(r"([0-9]+)(?:[.,]([0-9]+))?", number)
    if plain and not (plain[2] and len(plain[2]) == 3 and len(plain[1]) <= 3 and (decimals != 3 or "," in number)):
        return _checked_decimals(plain[1], plain[2] or "", decimals, typed, write)
    grouped = re.fullmatch(r"([0-9]{1,3})((?:([.,'’ ])[0-9]{3})(?:\3[0-9]{3})*)(?:(?!\3)([.,])([0-9]+))?", number)
    if grouped is None:
        raise ValueError(f"The marks in “{typed}” are not where thousands and decimals stand. {write}")
    if grouped[5] is None and len(grouped[2]) == 4 and (grouped[3] == "." or (grouped[3] == "," and decimals == 3)):
        raise ValueError(f"“{typed}” can be read in two ways. {write}")
    whole = grouped[1] + re.sub(r"[^0-9]", "", grouped[2])
    return _checked_decimals(whole, grouped[5] or "", decimals, typed, write)


def _checked_decimals(whole: str, fine: str, decimals: int, typed: str, write: str) -> tuple[str, str]:
    if len(fine.rstrip("0")) > decimals:
        smallest = "no decimals" if decimals == 0 else f"{decimals} decimals"
        raise ValueError(f"“{typed}” is finer than the smallest coin: this currency has {smallest}. {write}")
    return whole, fine[:decimals]
