"""Says what was used and where, for a page and for a paper alike: the one place with the words of a service's details.

Lengths and temperatures in the reader's units; a developer's strength in per cent and volumes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date

from django.utils.formats import date_format
from django.utils.timezone import localdate

from fittings.models import Service
from fittings.rules.facts import FACTS
from fittings.services.details import (
    ALONG_WORDS,
    CUT_WORDS,
    REPAIR_WORDS,
    TAPE_WORDS,
    ZONE_WORDS,
    ClipAt,
    ClipMoves,
    Colouring,
    CutIn,
    Details,
    Heating,
    Line,
    Repairing,
    Steaming,
    Taping,
    Tried,
    Washing,
    WrongDetails,
    read_details,
)
from fittings.services.developer import format_strength
from salon.common.lengths import format_length
from salon.common.temperatures import format_temperature

Told = tuple[str, str]
NOT_READ = "What was recorded of it can't be read."


def told(service: Service, *, imperial: bool = False) -> list[Told]:
    """Each thing with its name, in the order in which it was asked; what was not said is left out."""
    try:
        details = read_details(service.kind, service.details)
    except WrongDetails:
        return [("Details", NOT_READ)]
    lines = [*_facts(service, imperial), *_details(service, details, imperial)]
    return [(name, says) for name, says in lines if says]


def _facts(service: Service, imperial: bool) -> Iterator[Told]:
    facts = service.facts
    yield "Tool", _value("planned_heat", facts.get("planned_heat"))
    if isinstance(facts.get("tool_c"), int | float):
        yield "Set to", format_temperature(facts["tool_c"], "F" if imperial else "C")
    yield "What", _value("planned_colour", facts.get("planned_colour"))
    yield "On", _value("colour_on", facts.get("colour_on"))
    if service.kind == Service.Kind.FIXING:
        yield "Fixed with", _listed(_value("planned_fixing", one) for one in facts.get("planned_fixing", ()))


def _details(service: Service, details: Details, imperial: bool) -> Iterator[Told]:
    yield from _SAID[type(details)](details, imperial) if type(details) in _SAID else ()
    if isinstance(details, Taping) and details.renew_after_days and service.done_at:
        due = date.fromordinal(localdate(service.done_at).toordinal() + details.renew_after_days)
        yield "To be renewed by", date_format(due, "j F Y")


def _cut_in(details: CutIn, imperial: bool) -> Iterator[Told]:
    yield "Cut", _named(CUT_WORDS, details.cut)
    if details.taken_off_mm is not None:
        yield "Taken off", _length(details.taken_off_mm, imperial)
    yield "Where", _named(ZONE_WORDS, details.zones)


def _colouring(details: Colouring, imperial: bool) -> Iterator[Told]:
    yield "Formula", "; ".join(_line(line) for line in details.lines)
    if details.developer_percent is not None:
        yield "Developer", _joined(format_strength(details.developer_percent), _parts(details.developer_parts))
    yield "Ratio", _ratio(details)
    yield (
        "Lots",
        _listed(
            [f"{line.product} {line.lot}" for line in details.lines if line.lot]
            + ([f"developer {details.developer_lot}"] if details.developer_lot else [])
        ),
    )
    yield "Left on for", _minutes(details.minutes)
    yield "Where", _joined(_named(ZONE_WORDS, details.zones), _named(ALONG_WORDS, details.along).lower())
    if details.strand_test is not None:
        yield "Strand test", _tried(details.strand_test)


def _heating(details: Heating, imperial: bool) -> Iterator[Told]:
    yield "Passes", "" if details.passes is None else str(details.passes)
    yield "Where", _named(ZONE_WORDS, details.zones)


def _steaming(details: Steaming, imperial: bool) -> Iterator[Told]:
    yield "For", _minutes(details.minutes)
    yield "Where", _named(ZONE_WORDS, details.zones)


def _washing(details: Washing, imperial: bool) -> Iterator[Told]:
    yield "Washed with", details.product
    yield "Then", details.conditioner
    yield "Deep care", "Yes" if details.deep_care else ""


def _repairing(details: Repairing, imperial: bool) -> Iterator[Told]:
    yield "Repaired", _joined(_named(REPAIR_WORDS, details.repaired), details.words)
    yield "By", details.done_by


def _taping(details: Taping, imperial: bool) -> Iterator[Told]:
    yield "Tape", details.product
    yield "Lot", details.lot
    yield "Where", _named(TAPE_WORDS, details.where)


def _clip_moves(details: ClipMoves, imperial: bool) -> Iterator[Told]:
    for number, move in enumerate(details.moves, start=1):
        if move.now is None and move.was is not None:
            says = f"Taken off; it sat {_place(move.was, imperial)}"
        elif move.was is None and move.now is not None:
            says = f"New, {_place(move.now, imperial)}"
        elif move.was == move.now or move.was is None or move.now is None:
            continue
        else:
            says = f"From {_place(move.was, imperial)} to {_place(move.now, imperial)}"
        yield f"Clip {number}", says


_SAID: Mapping[type[Details], Callable[..., Iterator[Told]]] = {
    CutIn: _cut_in,
    Colouring: _colouring,
    Heating: _heating,
    Steaming: _steaming,
    Washing: _washing,
    Repairing: _repairing,
    Taping: _taping,
    ClipMoves: _clip_moves,
}


def _value(fact: str, value: object) -> str:
    words = FACTS[fact].values.get(str(value), "")
    return "" if value in (None, "none") else words[:1].upper() + words[1:]


def _line(line: Line) -> str:
    return _joined(line.product, _parts(line.parts))


def _parts(parts: float | None) -> str:
    return "" if parts is None else f"{parts:g} part" + ("" if parts == 1 else "s")


def _ratio(details: Colouring) -> str:
    """All the colour to the developer, such as 1 : 2; nothing where a part was not said."""
    parts = [line.parts for line in details.lines]
    if details.developer_parts is None or not parts or None in parts:
        return ""
    colour = sum(part for part in parts if part is not None)
    return f"1 : {round(details.developer_parts / colour, 2):g}"


def _tried(test: Tried) -> str:
    held = "took it well" if test.held else "did not take it well"
    when = date_format(date.fromisoformat(test.tested_on), "j F Y") if test.tested_on else ""
    return f"{test.product} on {when}: the strand {held}. {test.seen}"


def _minutes(minutes: int | None) -> str:
    return "" if minutes is None else "1 minute" if minutes == 1 else f"{minutes} minutes"


def _length(length_mm: float, imperial: bool) -> str:
    return format_length(length_mm, "in" if imperial else "cm")


def _place(clip: ClipAt, imperial: bool) -> str:
    v = clip.v_mm or 0.0
    aside = "on the middle" if not v else f"{_length(abs(v), imperial)} to her {'left' if v > 0 else 'right'}"
    return f"{_length(clip.u_mm or 0.0, imperial)} behind the front edge, {aside}"


def _named(words: Mapping[str, str], keys: Iterable[str]) -> str:
    """Several words in one sentence, the first with its capital."""
    return _listed([word if first else word.lower() for first, word in _first(words[key] for key in keys)])


def _first(words: Iterable[str]) -> Iterator[tuple[bool, str]]:
    for number, word in enumerate(words):
        yield number == 0, word


def _listed(words: Iterable[str]) -> str:
    return ", ".join(word for word in words if word)


def _joined(*words: str) -> str:
    return _listed(words)
