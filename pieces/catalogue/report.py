"""What came of reading a catalogue: counts, changes, and every bad line with what would be right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class BadLine:
    """One thing wrong in one file. Line 0: the file as a whole; an empty column: the line as a whole."""

    file: str
    line: int
    column: str
    written: str
    sentence: str

    def __str__(self) -> str:
        where = [self.file, *([f"line {self.line}"] if self.line else []), *([self.column] if self.column else [])]
        return f"{', '.join(where)}: {self.sentence}"


@dataclass(frozen=True, slots=True)
class Change:
    """One record that is stored already and reads differently now: (column, before, after) for each difference."""

    name: str
    differences: Sequence[tuple[str, str, str]]


@dataclass(slots=True)
class Tally:
    """What one file does to the catalogue."""

    title: str
    added: int = 0
    changed: int = 0
    unchanged: int = 0
    added_names: list[str] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)

    def __str__(self) -> str:
        return f"{self.title}: {self.added} added, {self.changed} changed, {self.unchanged} as they were"


@dataclass(slots=True)
class CatalogueReport:
    """The whole reading; `stored` only when every line was good and it was not a dry run."""

    tallies: list[Tally] = field(default_factory=list)
    bad_lines: list[BadLine] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    stopped_early: bool = False
    stored: bool = False

    @property
    def is_clean(self) -> bool:
        return not self.bad_lines

    @property
    def does_something(self) -> bool:
        return any(tally.added or tally.changed for tally in self.tallies)

    @property
    def summary(self) -> str:
        return "; ".join(str(tally) for tally in self.tallies) + "."
