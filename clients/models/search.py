"""How typed text is compared with what is kept: names without case and accents, and phone numbers from their end.

Nothing here asks the database; `ClientQuerySet.found_by` does, and `clients.searching` says what to answer.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Any, NamedTuple

from django.db import models

from salon.common.references import normalise_reference

LONGEST_FOLDED = 80
PHONE_TAIL = 9  # digits that tell numbers apart; what stands before them may be written +44, 0044, (0) or not at all

_LAST_CHARACTER = chr(0x10FFFF)
_APOSTROPHES = re.compile(r"['’‘ʼʹ`·]")  # and the middle dot of Catalan: they stand within one word
_WORD = re.compile(r"[^\W_]+")
# letters of European names that Unicode does not take apart into a letter and an accent
_UNDIVIDED = str.maketrans(
    {
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ð": "d",
        "þ": "th",
        "æ": "ae",
        "œ": "oe",
        "ı": "i",
        "ħ": "h",
        "ŧ": "t",
        "ŋ": "ng",
        "ĸ": "k",
    }
)


def folded(text: str) -> str:
    """Small letters without accents, so that “Zoë” is found by “zoe” on every database."""
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    plain = "".join(c for c in apart if not unicodedata.combining(c)).translate(_UNDIVIDED)
    return " ".join(plain.split())[:LONGEST_FOLDED].rstrip()


def words_of(*names: str) -> list[str]:
    """The words a client can be found by: each part of a double name, apostrophes left out; sorted, each once."""
    return sorted({word for name in names for word in _WORD.findall(_APOSTROPHES.sub("", folded(name)))})


def has_digit(text: str) -> bool:
    return any(c.isdecimal() for c in text)


def digits_backwards(phone: str) -> str:
    """The digits of a phone number from the last to the first: the last four then are a beginning, which an index
    finds."""
    return "".join(str(unicodedata.decimal(c)) for c in reversed(phone) if c.isdecimal())


def phone_tail(phone: str) -> str:
    """The end of a number, backwards: the same for +44 7700 900123, 0044 7700 900123 and 07700 900123."""
    return digits_backwards(phone)[:PHONE_TAIL]


class SearchTerm(NamedTuple):
    """One typed thing that a client must meet."""

    text: str
    is_phone: bool


def search_terms(typed: str) -> Iterator[SearchTerm]:
    """The words of what was typed; digits that follow one another are one number, however it is spaced."""
    digits = ""
    for word in _WORD.findall(_APOSTROPHES.sub("", folded(typed))):
        if word.isdecimal():
            digits += word
            continue
        if digits:
            yield SearchTerm(phone_tail(digits), is_phone=True)
            digits = ""
        yield SearchTerm(word, is_phone=False)
    if digits:
        yield SearchTerm(phone_tail(digits), is_phone=True)


def reference_in(typed: str) -> str:
    """The reference that was typed, however it was written; empty when it is none."""
    try:
        return normalise_reference(typed)
    except ValueError:
        return ""


@models.CharField.register_lookup
class Begins(models.Lookup[str]):
    """`word__begins="ann"`: a beginning, found by the column's index on both databases.

    SQLite reads its whole index for LIKE … ESCAPE, so there it is a range; PostgreSQL sorts by the rules of a language,
    in which a range is no beginning, but has an index of its own for LIKE (made by db_index=True).
    """

    lookup_name = "begins"

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        column, in_column = self.process_lhs(compiler, connection)
        start = str(self.rhs)
        return f"({column} >= %s AND {column} < %s)", (*in_column, start, *in_column, start + _LAST_CHARACTER)

    def as_postgresql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        column, in_column = self.process_lhs(compiler, connection)
        start = re.sub(r"([\\%_])", r"\\\1", str(self.rhs))
        return f"{column} LIKE %s", (*in_column, start + "%")
