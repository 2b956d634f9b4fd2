"""Which rules a reader of the table wants to see: of one subject, of one weight, with some words in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fittings.rules.engine import RuleRow
from fittings.rules.rule import SEVERITIES

WEIGHTS = dict(zip(SEVERITIES, ("Stops", "Cautions", "Notes"), strict=True))


@dataclass(frozen=True, slots=True)
class RulesAsked:
    """Empty means all; a subject or weight nobody knows is taken as empty."""

    subject: str
    weight: str
    words: str

    @classmethod
    def of(cls, said: Mapping[str, str], subjects: Iterable[str]) -> RulesAsked:
        subject, weight = said.get("subject", ""), said.get("weight", "")
        return cls(
            subject if subject in set(subjects) else "",
            weight if weight in WEIGHTS else "",
            " ".join(said.get("q", "")[:80].split()),
        )

    def has(self, row: RuleRow) -> bool:
        text = f"{row.id} {row.says} {row.instead} {row.because} {row.source}".casefold()
        return (
            self.subject in ("", row.subject)
            and self.weight in ("", row.severity)
            and all(word in text for word in self.words.casefold().split())
        )
