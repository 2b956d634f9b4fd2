"""Reads the single facts of a person from text as files write them; each raises ValueError with what would be right."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from typing import Final

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.models.search import folded
from clients.registering import ClientFields

_LIKE_ISO = re.compile(r"(\d{4})-?(\d{2})-?(\d{2})(?:T.*)?")  # RFC 6350, 4.3.1 writes it without hyphens (MEMORY)
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")  # with full stops, the day is first everywhere
LONGEST_TEXT: Final = 1_000
OLDEST_YEAR: Final = 1900


def plain(text: str) -> str:
    """Without stray spaces; refuses what can't be printed and what is far too long."""
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"This is longer than {LONGEST_TEXT:,} characters. Look for a missing quotation mark.")
    if any(unicodedata.category(c) in ("Cc", "Cs", "Co") and c not in "\t\r\n" for c in text):
        raise ValueError("This holds a character that can't be printed. Type it again.")
    return " ".join(text.split())


def day_of_birth(text: str, *, today: date) -> date | None:
    """Such as 1968-04-09 or 9.4.1968; None for an empty text."""
    if not text:
        return None
    iso, day_first = _LIKE_ISO.fullmatch(text), _DAY_FIRST.fullmatch(text)
    try:
        if iso:
            born = date(int(iso[1]), int(iso[2]), int(iso[3]))
        elif day_first:
            born = date(int(day_first[3]), int(day_first[2]), int(day_first[1]))
        else:
            raise ValueError
    except ValueError:
        raise ValueError(f"“{text}” is no date of birth that can be read. Write it as 1968-04-09.") from None
    if born > today:
        raise ValueError("A date of birth can't lie in the future.")
    if born.year < OLDEST_YEAR:
        raise ValueError(f"A date of birth lies in {OLDEST_YEAR} or later; write the year with four digits.")
    return born


def checked(fields: ClientFields) -> ClientFields:
    """The same fields when a client may be registered with them."""
    if not folded(fields["given_name"]) or not folded(fields["family_name"]):
        raise ValueError("A client needs a given name and a family name.")
    try:
        Client(**fields).clean_fields(exclude={"created_by", "reference"})
    except ValidationError as refusal:
        said = (f"{_name(field)}: {' '.join(reasons)}" for field, reasons in refusal.message_dict.items())
        raise ValueError(" ".join(said)) from None
    return fields


def _name(field: str) -> str:
    return field.replace("_", " ").capitalize()
