"""Can this be a telephone number at all, and how is it nicely spaced? The number is kept as it was typed either way.

Without a country (+44 …, 0044 …) it is taken to be from the salon's own. What numbers look like there is known by the
library phonenumbers, from the metadata that Google's libphonenumber publishes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clients.models.search import digits_of

if TYPE_CHECKING:
    from phonenumbers import PhoneNumber

MOST_DIGITS = 15  # ITU-T E.164, section 6.2.1: the longest international number (MEMORY)
FEWEST_DIGITS = 4  # shorter ones are dialled inside one house


def phone_doubt(phone: str, *, country: str) -> str:
    """A sentence to show, or nothing. `country` is the salon's, two capital letters."""
    if not phone.strip():
        return ""
    digits = "".join(c for c in phone if c.isdecimal())
    if any(c.isalpha() for c in phone) or not digits:
        return f"“{phone}” is kept as typed, but it does not look like a telephone number."
    if len(digits) < FEWEST_DIGITS:
        return f"“{phone}” is kept as typed, but it is very short for a telephone number. Read it back to her."
    if _is_abroad(phone):
        return _unless_valid(phone, country, "no number of that country is written so")
    if len(digits) > MOST_DIGITS:
        return f"“{phone}” is kept as typed, but no telephone number is that long. Read it back to her."
    return _unless_valid(
        phone, country, "no number here is written so; one from abroad begins with + and its country's number"
    )


def spaced(phone: str, *, country: str) -> str:
    """The number as its country writes it, as one reads it out; empty when it can't be one."""
    import phonenumbers  # a tenth of a second, and only the desk needs it

    number = _parsed(phone, country)
    if number is None or phone_doubt(phone, country=country):
        return ""
    at_home = number.country_code == phonenumbers.country_code_for_region(country)
    style = phonenumbers.PhoneNumberFormat
    written = phonenumbers.format_number(number, style.NATIONAL if at_home else style.INTERNATIONAL)
    return (
        written if _is_abroad(phone) or digits_of(written) == digits_of(phone) else ""
    )  # no form for it: says nothing


def _is_abroad(phone: str) -> bool:
    return phone.lstrip().startswith(("+", "00"))


def _unless_valid(phone: str, country: str, why: str) -> str:
    """Its length is held against its country's lengths. At home the part that is dialled within a town will do; of a
    country the library does not know, nothing is said."""
    import phonenumbers

    if not _is_abroad(phone) and country not in phonenumbers.SUPPORTED_REGIONS:
        return ""
    number = _parsed(phone, country)
    if number is not None:
        possible = phonenumbers.is_possible_number_with_reason(number)
        local = phonenumbers.ValidationResult.IS_POSSIBLE_LOCAL_ONLY
        if possible == phonenumbers.ValidationResult.IS_POSSIBLE or (possible == local and not _is_abroad(phone)):
            return ""
    return f"“{phone}” is kept as typed, but {why}. Read it back to her."


def _parsed(phone: str, country: str) -> PhoneNumber | None:
    import phonenumbers

    start = phone.strip()
    typed = "+" + start.removeprefix("00") if start.startswith("00") else start
    try:
        return phonenumbers.parse(typed, country)
    except phonenumbers.NumberParseException:
        return None
