"""What does one cell of a catalogue file say? Reads its text, refuses it with what would be right, writes it back.

Every cell is text and nothing but text: one that looks like a spreadsheet's formula is kept as it stands. Whether the
cells of a line agree is `agreement`'s to say. Millimetres, °C, minor units of money.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import floor
from typing import Any, Final, NamedTuple

from django.db.models import TextChoices

from pieces.bases.construction import Clip, TapeArea
from salon.common.lengths import parse_length_mm
from salon.common.money import format_minor, minor_decimals, parse_minor
from salon.common.references import normalise_reference
from salon.common.temperatures import parse_temperature_c

USUAL: Final = "usual"
_CLIP_LENGTH_MM: Final = 32  # the common sewn-in clip (common practice)
_MOST_PARTS: Final = 30
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,7}(?:[.,][0-9]{1,40})?")
_CLIP: Final = re.compile(r"([0-9]{1,3}) (?:(middle)|(left|right) ([0-9]{1,3}))(?: long ([0-9]{1,3}))?")
_TAPE: Final = re.compile(r"([0-9]{1,3}) to ([0-9]{1,3})")


class Amount(NamedTuple):
    """Money in whole minor units of its currency."""

    minor: int
    currency: str


@dataclass(frozen=True, slots=True)
class Cell:
    """How one kind of cell is read, shown again, written into a file, and described.

    `read` raises ValueError with a sentence, and reads whatever `write` wrote. `units`: those that its bare numbers may
    be in; `words`: (value, in words) where only these can be meant. Both are for files of makers.
    """

    read: Callable[[str], Any]
    how: str
    show: Callable[[Any], str] = str
    write: Callable[[Any], str] = str
    units: tuple[str, ...] = ()
    words: tuple[tuple[str, str], ...] = ()


def tidy(written: str) -> str:
    """The text with spaces evened out and accents in one form, so that two spellings of one name are one name."""
    return " ".join(unicodedata.normalize("NFC", written).split())


def text(longest: int) -> Cell:
    def read(written: str) -> str:
        if len(written) > longest:
            raise ValueError(f"This is {len(written)} characters long. Write at most {longest}.")
        return written

    return Cell(read, f"text of at most {longest} characters")


def number(low: float, high: float) -> Cell:
    def read(written: str) -> float:
        return _number_within(written, low, high, f"a number from {low:g} to {high:g}, such as {(low + high) / 2:g}")

    how = f"a number from {low:g} to {high:g}, with a decimal point or comma"
    return Cell(read, how, lambda value: f"{value:g}", lambda value: format(Decimal(repr(value)), "f"))


def whole(low: int, high: int, unit: str) -> Cell:
    right = f"a whole number of {unit} from {low} to {high}"

    def read(written: str) -> int:
        value = _number_within(written, low, high, right)
        if value != int(value):
            raise ValueError(f"“{written}” has decimals. Write {right}.")
        return int(value)

    return Cell(read, right)


def length(low: int, high: int) -> Cell:
    right = f"millimetres from {low} to {high}, or a length with its unit such as 10.2 cm or 4 in"

    def read(written: str) -> int:
        alone = _NUMBER.fullmatch(written)
        try:
            exact = float(written.replace(",", ".")) if alone else parse_length_mm(written)
        except ValueError:
            raise ValueError(f"“{written}” is not a length. Write {right}.") from None
        if not low <= round(exact) <= high:
            raise ValueError(f"“{written}” is {exact:g} mm. Write {right}.")
        return round(exact)

    return Cell(read, right, lambda value: f"{value} mm", units=("mm", "cm", "in"))


def temperature(low: int, high: int) -> Cell:
    right = f"°C from {low} to {high}, such as 160, or with its unit: 160 °C, 320 °F"

    def read(written: str) -> int:
        try:
            exact = parse_temperature_c(written)
        except ValueError:
            raise ValueError(f"“{written}” is not a temperature. Write {right}.") from None
        if not low <= exact <= high:
            raise ValueError(f"“{written}” is {exact:.0f} °C. Write {right}.")
        return floor(exact)  # downwards: a limit that a maker printed is never rounded up

    return Cell(read, right, lambda value: f"{value} °C", units=("°C", "°F"))


def choice(choices: type[TextChoices]) -> Cell:
    return one_of(choices.choices)


def one_of(choices: Iterable[tuple[str, str]]) -> Cell:
    """One of some values, which may also be called as they are in words."""
    pairs = tuple((str(value), str(label)) for value, label in choices)
    meanings = {word.casefold(): value for value, label in pairs for word in (value, label)}
    words = ", ".join(value for value, _ in pairs)

    def read(written: str) -> str:
        meant = meanings.get(written.casefold()) or meanings.get(written.casefold().replace(" ", "_"))
        if meant is None:
            near = nearest(written.casefold(), meanings)
            hint = f" Did you mean {meanings[near]}?" if near else ""
            raise ValueError(f"“{written}” is none of the words for this column.{hint} Write one of: {words}.")
        return meant

    return Cell(read, f"one of: {words}", lambda value: dict(pairs).get(value, value), words=pairs)


def known_shade(shades: Iterable[tuple[str, str]]) -> Cell:
    """One of a maker's shades, by the salon's code for it or by its name where only one is called so."""
    pairs = tuple(shades)
    names = Counter(name.casefold() for _, name in pairs)
    meanings = {name.casefold(): code for code, name in pairs if names[name.casefold()] == 1}
    meanings |= {code.casefold(): code for code, _ in pairs}

    def read(written: str) -> str:
        meant = meanings.get(written.casefold())
        if meant is None:
            near = nearest(written.casefold(), meanings)
            right = f"Did you mean {meanings[near]}?" if near else "Add the shade first."
            raise ValueError(f"“{written}” is no shade of this maker. {right}")
        return meant

    return Cell(read, "the code or the name of a shade", words=tuple((code, f"{code}, {name}") for code, name in pairs))


def yes_no() -> Cell:
    def read(written: str) -> bool:
        if written.casefold() not in ("yes", "no"):
            raise ValueError(f"“{written}” is neither yes nor no. Write yes or no.")
        return written.casefold() == "yes"

    def show(value: bool) -> str:
        return "yes" if value else "no"

    return Cell(read, "yes or no", show, show, words=(("yes", "Yes"), ("no", "No")))


def day() -> Cell:
    right = "a date as year-month-day, such as 2026-03-14"

    def read(written: str) -> date:
        try:
            read_day = date.fromisoformat(written) if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", written) else None
        except ValueError:
            raise ValueError(f"“{written}” is not a day of the calendar. Write {right}.") from None
        if read_day is None:
            raise ValueError(f"“{written}” can be read in more than one way or none. Write {right}.")
        if not 2000 <= read_day.year <= 2100:
            raise ValueError(f"“{written}” lies outside the years 2000 to 2100. Write {right}.")
        return read_day

    return Cell(read, right, date.isoformat, date.isoformat)


def money(currency: str) -> Cell:
    def read(written: str) -> Amount:
        amount = Amount(parse_minor(written, currency), currency)
        if amount.minor > 2**31 - 1:
            raise ValueError(f"“{written}” is more than any piece costs. Write an amount such as {example}.")
        return amount

    def write(amount: Amount) -> str:
        """As a plain number; one in another currency with its code, which reading it again refuses."""
        number = format(Decimal(amount.minor).scaleb(-minor_decimals(amount.currency)), "f")
        return number if amount.currency == currency else f"{amount.currency} {number}"

    example = format_minor(parse_minor("1249", currency), currency)
    return Cell(read, f"an amount in {currency} such as {example}", lambda amount: format_minor(*amount), write)


def unit_number() -> Cell:
    right = "the number on its label, such as U-7K2M9QAM; empty for a new unit that has none yet"

    def read(written: str) -> str:
        try:
            reference = normalise_reference(written)
        except ValueError as slip:
            raise ValueError(f"{slip} Write {right}.") from None
        if not reference.startswith("U-"):
            raise ValueError(f"“{written}” is not the number of a unit, which begins with U-. Write {right}.")
        return reference

    return Cell(read, right)


def clips() -> Cell:
    right = (
        "each clip by its middle, in mm: how far behind the front edge, then middle, left or right and how far out, "
        "then long and its length unless that is 32; between clips a bar: 8 middle | 60 left 40 | 60 right 40 long 28. "
        f"Or {USUAL}: where clips of a base of this size commonly sit"
    )

    def read(written: str) -> tuple[Clip, ...] | str:
        if written.casefold() == USUAL:
            return USUAL
        return tuple(sorted((_clip(part) for part in _parts(written)), key=lambda clip: (clip.u_mm, clip.v_mm)))

    def _clip(part: str) -> Clip:
        found = _CLIP.fullmatch(part.casefold())
        if found is None:
            raise ValueError(f"“{part}” is not a clip. Write {right}.")
        back, _, side, out, long = found.groups()
        across = int(out) * (1 if side == "left" else -1) if side else 0
        return Clip(int(back), across, int(long or _CLIP_LENGTH_MM))

    def show(value: tuple[Clip, ...]) -> str:
        return " | ".join(_written_clip(clip) for clip in value)

    return Cell(read, right, show, show)


def tape_areas() -> Cell:
    right = "where a strip begins and ends behind the front edge, in mm; between strips a bar: 0 to 15 | 110 to 125"

    def read(written: str) -> tuple[TapeArea, ...]:
        areas = []
        for part in _parts(written):
            found = _TAPE.fullmatch(part.casefold())
            if found is None:
                raise ValueError(f"“{part}” is not a strip for tape. Write {right}.")
            areas.append(TapeArea(int(found[1]), int(found[2])))
        return tuple(sorted(areas, key=lambda area: (area.from_mm, area.to_mm)))

    def show(value: tuple[TapeArea, ...]) -> str:
        return " | ".join(f"{area.from_mm} to {area.to_mm}" for area in value)

    return Cell(read, right, show, show)


def nearest(written: str, known: Any) -> str:
    """The known word that looks most like what was written; empty when none comes near."""
    return next(iter(difflib.get_close_matches(written, known, n=1, cutoff=0.6)), "")


def _number_within(written: str, low: float, high: float, right: str) -> float:
    plain = written.replace("−", "-")
    if not _NUMBER.fullmatch(plain):
        raise ValueError(f"“{written}” is not a number. Write {right}.")
    value = float(plain.replace(",", "."))
    if not low <= value <= high:
        raise ValueError(f"“{written}” is out of range. Write {right}.")
    return value


def _parts(written: str) -> list[str]:
    parts = [tidy(part) for part in written.split("|")]
    if len(parts) > _MOST_PARTS:
        raise ValueError(f"These are {len(parts)} parts. Write at most {_MOST_PARTS}.")
    return parts


def _written_clip(clip: Clip) -> str:
    side = "middle" if clip.v_mm == 0 else f"{'left' if clip.v_mm > 0 else 'right'} {abs(clip.v_mm):g}"
    long = "" if clip.length_mm == _CLIP_LENGTH_MM else f" long {clip.length_mm:g}"
    return f"{clip.u_mm:g} {side}{long}"
