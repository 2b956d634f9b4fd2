"""One person as a file names her, and what is said of each line of the file."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final, Literal

from clients.registering import ClientFields

LARGEST_BYTES: Final = 10_000_000
MOST_PEOPLE: Final = 5_000
MOST_TO_MEND: Final = 200  # who sees two hundred mends the cause and tries again
_SHOWN: Final = 60

What = Literal["new", "known", "mend"]


@dataclass(frozen=True, slots=True)
class Person:
    """What was read of one line or card; `remarks` are said and stop nothing."""

    line: int
    fields: ClientFields
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return f"{self.fields['given_name']} {self.fields['family_name']}"


@dataclass(frozen=True, slots=True)
class LineSaid:
    """What becomes of one line. Line 0: the file as a whole; `written`: what stands there."""

    line: int
    what: What
    written: str
    says: str

    @classmethod
    def to_mend(cls, line: int, written: str, says: str) -> LineSaid:
        return cls(line, "mend", written if len(written) <= _SHOWN else written[:_SHOWN] + "…", says)


@dataclass(slots=True)
class PeopleRead:
    """The good lines of a file, what is wrong with the others, and what holds of the file as a whole."""

    people: list[Person] = field(default_factory=list)
    to_mend: list[LineSaid] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def refuse(self, line: int, written: str, says: str) -> None:
        self.to_mend.append(LineSaid.to_mend(line, written, says))

    @property
    def is_hopeless(self) -> bool:
        return len(self.to_mend) >= MOST_TO_MEND


@dataclass(slots=True)
class Report:
    """Every line and what becomes of it; `stored` only when none is to be mended and it was not a dry run."""

    lines: list[LineSaid]
    remarks: list[str]
    stopped_early: bool = False
    stored: bool = False

    @property
    def counts(self) -> Counter[What]:
        return Counter(line.what for line in self.lines)

    @property
    def new(self) -> int:
        return self.counts["new"]

    @property
    def known(self) -> int:
        return self.counts["known"]

    @property
    def to_mend(self) -> int:
        return self.counts["mend"]
