"""Can this be a telephone number at all? A gentle word when not; the number is kept as it was typed either way."""

from __future__ import annotations

MOST_DIGITS = 15  # ITU-T E.164, section 6.2.1: the longest international number (MEMORY)
FEWEST_DIGITS = 4  # shorter ones are dialled inside one house


def phone_doubt(phone: str) -> str:
    """A sentence to show, or nothing. Written with its country (+44 …, 0044 …) it is held against that country's
    lengths; without, only against what no number can be, for the country is not known."""
    if not phone.strip():
        return ""
    digits = "".join(c for c in phone if c.isdecimal())
    if any(c.isalpha() for c in phone) or not digits:
        return f"“{phone}” is kept as typed, but it does not look like a telephone number."
    if len(digits) < FEWEST_DIGITS:
        return f"“{phone}” is kept as typed, but it is very short for a telephone number. Read it back to her."
    if phone.lstrip().startswith(("+", "00")):
        return _doubt_abroad(phone, digits)
    if len(digits) > MOST_DIGITS:
        return f"“{phone}” is kept as typed, but no telephone number is that long. Read it back to her."
    return ""


def _doubt_abroad(phone: str, digits: str) -> str:
    import phonenumbers  # a tenth of a second, and only the desk needs it

    number = digits if phone.lstrip().startswith("+") else digits.removeprefix("00")
    try:
        found = phonenumbers.is_possible_number_with_reason(phonenumbers.parse("+" + number, None))
    except phonenumbers.NumberParseException:
        found = phonenumbers.ValidationResult.INVALID_COUNTRY_CODE
    possible = found == phonenumbers.ValidationResult.IS_POSSIBLE  # one only for calls within a town is not
    return (
        ""
        if possible
        else f"“{phone}” is kept as typed, but no number of that country is written so. Read it back to her."
    )
