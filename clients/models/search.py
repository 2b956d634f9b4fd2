"""How typed text is compared with what is kept: the keys a client is found by, and the keys that a question asks for.

Names lose case and accents. Nothing here asks the database: `clients.indexing` writes the keys, `finding` walks them,
and `clients.searching` says what to answer.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

from salon.common.references import normalise_reference

LONGEST_FOLDED = 80
FEWEST_INSIDE = 3  # letters that are looked for within a word and at the beginning of an e-mail address
FEWEST_IN_NUMBER = 4  # digits that are looked for anywhere in a phone number; fewer only at its end
PHONE_TAIL = 9  # digits that tell numbers apart; what stands before them may be written +44, 0044, (0) or not at all

_APOSTROPHES = re.compile(r"['’‘ʼʹ`·]")  # and the middle dot of Catalan: they stand within one word
_WORD = re.compile(r"[^\W_]+")
_JOINED = re.compile(r"[^\W\d_][.+_-]\w|\w[.+_-][^\W\d_]")  # two words, or a word and a number, as in an address
_BEGUN_REFERENCE = re.compile(r"c(-[0-9a-z]{1,8}|[0-9a-z]{2,8})", re.IGNORECASE)
_LOOK_ALIKES = str.maketrans("oil", "011")  # in a reference; see `salon.common.references`
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
    """Small letters without accents, so that “Zoë” is found by “zoe” on every database; no longer than a key may be."""
    return folded_whole(text)[:LONGEST_FOLDED].rstrip()


def folded_whole(text: str) -> str:
    """The same at any length, for what must not be taken for another that begins alike."""
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    plain = "".join(c for c in apart if not unicodedata.combining(c)).translate(_UNDIVIDED)
    return " ".join(plain.split())


def words_of(*names: str) -> list[str]:
    """The words a client can be found by: each part of a double name, apostrophes left out; sorted, each once."""
    return sorted({word for name in names for word in _WORD.findall(_APOSTROPHES.sub("", folded(name)))})


def has_digit(text: str) -> bool:
    return any(c.isdecimal() for c in text)


def digits_of(phone: str) -> str:
    return "".join(str(unicodedata.decimal(c)) for c in phone if c.isdecimal())


def digits_backwards(phone: str) -> str:
    """The digits of a phone number from the last to the first: the last four then are a beginning, which an index
    finds."""
    return digits_of(phone)[::-1]


def phone_tail(phone: str) -> str:
    """The end of a number, backwards: the same for +44 7700 900123, 0044 7700 900123 and 07700 900123."""
    return digits_backwards(phone)[:PHONE_TAIL]


def reference_in(typed: str) -> str:
    """The reference that was typed, however it was written; empty when it is none."""
    try:
        return normalise_reference(typed)
    except ValueError:
        return ""


# The keys. Their first letter says what follows; bytes, because only bytes are in the same order in every database.

_NAME, _WITHIN, _NUMBER_BACKWARDS, _IN_NUMBER, _REFERENCE = b"n", b"w", b"t", b"d", b"r"
LONGEST_KEY = 160


class Findable(Protocol):
    """What of a client she is found by; a model as a migration sees it has no more."""

    reference: str
    given_name: str
    family_name: str
    preferred_name: str
    phone: str
    email: str


def keys_of(client: Findable, *, listed_as: str) -> set[bytes]:
    """The keys by which quick find finds her. Those of her names go on with `listed_as`, so that all who share a word
    stand in that order."""
    digits, address = digits_of(client.phone), folded(client.email)
    keys = {_key(_REFERENCE, _after_prefix(client.reference))}
    for word in words_of(client.given_name, client.family_name, client.preferred_name):
        keys.add(_key(_NAME, f"{word}\0{listed_as}"))
        keys |= {_key(_WITHIN, word[at:]) for at in range(1, len(word) - FEWEST_INSIDE + 1)}
    if digits:
        keys.add(_key(_NUMBER_BACKWARDS, digits[::-1]))
        keys |= {_key(_IN_NUMBER, digits[at:]) for at in range(len(digits) - FEWEST_IN_NUMBER + 1)}
    if address:
        keys |= {_key(_WITHIN, address), _key(_WITHIN, address.rpartition("@")[2])}
    return keys


def beginning_of_namesakes(name: str, family: str) -> bytes:
    """How the keys begin of those who have the name, or its first word, and are listed under a family name that begins
    so; both folded. What she likes to be called counts as a name of hers."""
    word = next(iter(_WORD.findall(_APOSTROPHES.sub("", name))), "")
    return _key(_NAME, f"{word}\0{family}")


def beginning_of_number(phone: str) -> bytes:
    """How the key of a number that ends alike begins."""
    return _key(_NUMBER_BACKWARDS, phone_tail(phone))


def _key(kind: bytes, text: str) -> bytes:
    return (kind + text.encode(errors="replace"))[:LONGEST_KEY]


def _after_prefix(reference: str) -> str:
    return reference.partition("-")[2].lower()


@dataclass(frozen=True)
class SearchTerm:
    """One typed thing that a client must meet: one of her keys begins with one of these. The better come first."""

    beginnings: tuple[bytes, ...]


def readings(typed: str) -> Iterator[list[SearchTerm]]:
    """What the typed text can mean, the likelier first; a client must meet every term of one reading.

    Words of names and numbers; joined by a dot or a hyphen, perhaps an e-mail address or its domain; or her reference,
    whose beginning is enough when it looks like nothing else.
    """
    reference = reference_in(typed)
    if reference and has_digit(typed):
        yield [_reference(reference)]
        return
    parts = folded(typed).split()
    if words := list(_terms(parts)):
        yield words
    if any(_may_be_address(part) and "@" not in part for part in parts):
        yield list(_terms(parts, addresses=_may_be_address))
    if reference:  # without a digit it may be a long name, one in thirty-odd of which happens to look like one
        yield [_reference(reference)]
    elif _BEGUN_REFERENCE.fullmatch(typed.strip()) and (has_digit(typed) or "-" in typed):
        yield [_reference("C-" + typed.strip()[1:].removeprefix("-"))]


def _reference(reference: str) -> SearchTerm:
    return SearchTerm((_key(_REFERENCE, _after_prefix(reference).translate(_LOOK_ALIKES)),))


def _may_be_address(part: str) -> bool:
    return "@" in part or bool(_JOINED.search(part))


def _terms(parts: list[str], addresses: Callable[[str], bool] = lambda part: "@" in part) -> Iterator[SearchTerm]:
    """The terms of what was typed between spaces; digits that follow one another are one number, however spaced."""
    digits = ""
    for part in parts:
        if addresses(part):
            if address := part.lstrip("@"):
                yield SearchTerm((_key(_WITHIN, address),))
            continue
        for word in _WORD.findall(_APOSTROPHES.sub("", part)):
            if word.isdecimal():
                digits += word
                continue
            if digits:
                yield _number(digits)
                digits = ""
            yield _word(word)
    if digits:
        yield _number(digits)


def _word(word: str) -> SearchTerm:
    within = (_key(_WITHIN, word),) if len(word) >= FEWEST_INSIDE else ()
    return SearchTerm((_key(_NAME, word), *within))


def _number(digits: str) -> SearchTerm:
    within = (_key(_IN_NUMBER, digits_of(digits)[-PHONE_TAIL:]),) if len(digits) >= FEWEST_IN_NUMBER else ()
    return SearchTerm((_key(_NUMBER_BACKWARDS, phone_tail(digits)), *within))
