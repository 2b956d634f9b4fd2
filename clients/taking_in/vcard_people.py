"""Reads people from vCards (RFC 6350 is version 4, RFC 2426 version 3), as address books give them out.

The library reads one card at a time, so that one that is spoilt does not hide the others. Names, telephone number,
e-mail address and date of birth are taken; pictures and notes are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, Final

from clients.registering import ClientFields
from clients.taking_in.csv_people import plain_or_dots
from clients.taking_in.fields_read import checked, day_of_birth, plain
from clients.taking_in.people import LARGEST_BYTES, MOST_PEOPLE, PeopleRead, Person
from salon.common.text_files import FileRefused, decoded

BEGIN, END = "BEGIN:VCARD", "END:VCARD"
VERSIONS: Final = ("3.0", "4.0")
LONGEST_CARD: Final = 20_000  # lines: a picture of a megabyte has some 18,000
_SAVE_AS = "Let the address book export vCard files (.vcf), version 3 or 4."
_NO_CARD = f"There is no card in this file: a card begins with {BEGIN}. {_SAVE_AS}"


def read_vcards(content: bytes, *, today: date) -> PeopleRead:
    """Read one file whole; nothing raises, everything wrong stands in `to_mend`."""
    read = PeopleRead()
    left_out: set[str] = set()
    try:
        text = decoded(content, largest_bytes=LARGEST_BYTES, save_as=_SAVE_AS, empty=_NO_CARD)
        for count, (number, card) in enumerate(_cards(text), start=1):
            if count > MOST_PEOPLE:
                raise FileRefused(f"The file has more than {MOST_PEOPLE:,} cards. Split it into several.", number)
            if read.is_hopeless:
                break
            _read_card(read, number, card, today, left_out)
        if not read.people and not read.to_mend:
            raise FileRefused(_NO_CARD)
    except FileRefused as refusal:
        line, _, written, sentence = refusal.where
        read.refuse(line, written, sentence)
    if left_out:
        read.remarks.append(f"Not taken in: {', '.join(sorted(left_out))}.")
    return read


def _cards(text: str) -> Iterator[tuple[int, list[str]]]:
    """(line number, lines) of every card; what stands between cards must be blank."""
    begins, card = 0, list[str]()
    for number, line in enumerate(text.splitlines(), start=1):
        said = line.strip().upper()
        if said == BEGIN:
            if begins:
                raise FileRefused(f"The card that begins in line {begins} does not end before the next one.", number)
            begins, card = number, [line]
        elif begins:
            card.append(line)
            if len(card) > LONGEST_CARD:
                raise FileRefused(f"This card is longer than {LONGEST_CARD:,} lines. Does it end with {END}?", begins)
            if said == END:
                yield begins, card
                begins = 0
        elif said:
            raise FileRefused(f"This stands outside any card. {_NO_CARD}", number, "", plain_or_dots(line))
    if begins:
        raise FileRefused(f"The card that begins here has no end. Its last line is {END}.", begins)


def _read_card(read: PeopleRead, number: int, lines: list[str], today: date, left_out: set[str]) -> None:
    import vobject  # a tenth of a second, and only the import needs it

    try:
        card = vobject.readOne("\r\n".join(lines))
    except Exception:  # the library raises whatever comes up on spoilt text
        read.refuse(number, plain_or_dots(lines[1] if len(lines) > 1 else ""), f"This card can't be read. {_SAVE_AS}")
        return
    contents: dict[str, list[Any]] = card.contents
    written = ""
    try:
        version = _text(contents, "version")
        if version not in VERSIONS:
            told = f"It says it is version {version}" if version else "It does not say its version"
            raise ValueError(f"{told}; versions 3.0 and 4.0 can be read.")
        given, family = _names(contents)
        written = plain_or_dots(f"{given} {family}")
        birth, remarks = _text(contents, "bday"), list[str]()
        if birth.startswith("--"):
            birth, remarks = "", ["Her year of birth is not told, so no date of birth is taken in."]
        fields: ClientFields = {
            "given_name": given,
            "family_name": family,
            "preferred_name": _text(contents, "nickname").split(",")[0].strip(),
            "phone": plain(_preferred(contents.get("tel", [])).removeprefix("tel:")),
            "email": plain(_preferred(contents.get("email", [])).removeprefix("mailto:")),
            "born_on": day_of_birth(birth, today=today),
        }
        read.people.append(Person(number, checked(fields), tuple(remarks)))
    except ValueError as refusal:
        read.refuse(number, written, str(refusal))
    left_out |= {word for word in ("note", "photo", "adr", "org") if word in contents}


def _names(contents: dict[str, list[Any]]) -> tuple[str, str]:
    """Given and family name: told apart by N, or else the last word of FN is the family name."""
    for name in contents.get("n", []):
        given, family = (_joined(getattr(name.value, part, "")) for part in ("given", "family"))
        if given and family:
            return given, family
    *first, last = _text(contents, "fn").split() or [""]
    return " ".join(first), last


def _joined(part: Any) -> str:
    """A part of a name, which the library gives as text or, where commas part it, as a list."""
    return plain(" ".join(part) if isinstance(part, list) else str(part))


def _text(contents: dict[str, list[Any]], word: str) -> str:
    found = contents.get(word, [])
    return plain(_joined(found[0].value)) if found else ""


def _preferred(found: list[Any]) -> str:
    """The one that is marked as preferred, else the first that is no fax."""

    def rank(line: Any) -> int:
        sorts = {str(sort).casefold() for told in line.params.get("TYPE", []) for sort in str(told).split(",")}
        if "PREF" in line.params or "pref" in sorts:
            return 0
        return 2 if "fax" in sorts else 1

    best = min(found, key=rank, default=None)
    return str(best.value) if best else ""
