"""What came of reading a catalogue: counts, changes, and every bad line with what would be right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

MOST_TOLD: Final = 100  # lines of each sort
What = Literal["new", "changed", "same"]
_ORDER: Final[tuple[What, ...]] = ("changed", "new", "same")


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
class LineTold:
    """What becomes of one good line; of a record that reads differently now (column, before, after) by difference."""

    line: int
    what: What
    name: str
    differences: Sequence[tuple[str, str, str]] = ()


@dataclass(slots=True)
class Tally:
    """What one file does to the catalogue; `lines` tells the first of each sort."""

    title: str
    counts: Counter[What] = field(default_factory=Counter)
    lines: list[LineTold] = field(default_factory=list)

    def count(self, what: What) -> bool:
        """Count a line; whether it is still one of those that are told."""
        self.counts[what] += 1
        return self.counts[what] <= MOST_TOLD

    @property
    def added(self) -> int:
        return self.counts["new"]

    @property
    def changed(self) -> int:
        return self.counts["changed"]

    @property
    def unchanged(self) -> int:
        return self.counts["same"]

    @property
    def hidden(self) -> int:
        """How many lines are counted and not told."""
        return self.counts.total() - len(self.lines)

    @property
    def in_order(self) -> list[LineTold]:
        """The lines that are told, those that change something first."""
        return sorted(self.lines, key=lambda line: _ORDER.index(line.what))

    @property
    def additions(self) -> list[LineTold]:
        return [line for line in self.lines if line.what == "new"]

    @property
    def changes(self) -> list[LineTold]:
        return [line for line in self.lines if line.what == "changed"]

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
