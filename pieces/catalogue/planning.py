"""What would reading a file change? Compares its lines with what is stored and writes nothing to the database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from pieces.bases.construction import Clip
from pieces.bases.layout import usual_clips
from pieces.bases.outline import BaseOutline
from pieces.catalogue.cells import USUAL
from pieces.catalogue.kinds import Key, Kind
from pieces.catalogue.known import Refused
from pieces.catalogue.records import Records, Values
from pieces.catalogue.report import LineTold, Tally
from pieces.catalogue.sheets import Line, Sheet


@dataclass(frozen=True, slots=True)
class Planned:
    """A record as it is to be stored, with the line as it was read."""

    record: Any
    values: Values


@dataclass(slots=True)
class Plan:
    """What one file adds and changes. `columns`: those in which any record changes."""

    kind: Kind
    tally: Tally
    added: list[Planned] = field(default_factory=list)
    changed: list[Planned] = field(default_factory=list)
    columns: set[str] = field(default_factory=set)


def plan_sheet(sheet: Sheet, records: Records[Any]) -> Plan:
    """Plan every good line of the sheet; what is wrong joins the sheet's bad lines."""
    kind = sheet.kind
    plan = Plan(kind, Tally(kind.title))
    for key, line in sheet.broken.items():
        records.known.broken[kind.name, key] = line
    seen: dict[Key, int] = dict(sheet.broken)
    for line_read in sheet.lines:
        if sheet.is_hopeless:
            break
        key = kind.key_of(line_read.values)
        if any(key):  # a new unit has no number yet
            earlier = seen.setdefault(key, line_read.number)
            if earlier != line_read.number:
                name = kind.name_of(line_read.values)
                sentence = f"{name} stands in line {earlier} already. Keep one of the two lines."
                sheet.refuse(line_read.number, kind.key[-1], line_read.written[kind.key[-1]], sentence)
                continue
        problems = _plan_line(plan, records, key, line_read)
        for column, sentence in problems:
            sheet.refuse(line_read.number, column, line_read.written.get(column, ""), sentence)
        if problems:
            records.known.broken[kind.name, key] = line_read.number
    return plan


def _plan_line(plan: Plan, records: Records[Any], key: Key, line: Line) -> Sequence[tuple[str, str]]:
    """Plan one line; returns what is wrong with it by column."""
    kind = plan.kind
    found = records.stored.get(key)
    before = kind.defaults() if found is None else records.current(found)
    try:
        values = _with_usual_clips({**before, **line.values})
    except ValueError as refusal:
        return [("clips", str(refusal))]
    problems = list(kind.disagreements(values))
    changed = [column for column in kind.columns if values[column.name] != before[column.name]]
    if problems or (found is not None and not changed):
        if not problems and plan.tally.count("same"):
            plan.tally.lines.append(LineTold(line.number, "same", kind.name_of(values)))
        return problems
    record = kind.model() if found is None else found
    try:
        records.write(record, values)
    except Refused as refusal:
        return [(refusal.column, refusal.sentence)]
    if found is None:
        plan.added.append(Planned(record, values))
        if any(key):
            records.stored[key] = record
        if plan.tally.count("new"):
            plan.tally.lines.append(LineTold(line.number, "new", kind.name_of(values)))
    else:
        plan.changed.append(Planned(record, values))
        plan.columns |= {column.name for column in changed}
        if plan.tally.count("changed"):
            differences = [
                (column.name, column.show(before[column.name]), column.show(values[column.name])) for column in changed
            ]
            plan.tally.lines.append(LineTold(line.number, "changed", kind.name_of(values), differences))
    return ()


def _with_usual_clips(values: dict[str, Any]) -> dict[str, Any]:
    """Where a base's clips are said to sit as usual, the places that means at its size."""
    if values.get("clips") != USUAL:
        return values
    outline = BaseOutline.named(
        values["outline"], length_mm=float(values["length_mm"]), width_mm=float(values["width_mm"])
    )
    clips = tuple(Clip(clip.u_mm, clip.v_mm, clip.length_mm) for clip in usual_clips(outline))
    return {**values, "clips": clips}
