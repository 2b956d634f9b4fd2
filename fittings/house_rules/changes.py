"""Who changed a house number, when, from what to what: read from the history that each change leaves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fittings.house_numbers import ALL_NUMBERS
from fittings.models import HouseRule
from salon.models import User


@dataclass(frozen=True, slots=True)
class KeptChange:
    """`pk` names the entry on the way back to it."""

    pk: int
    at: datetime
    by: User | None
    was: float
    now: float


def changes_of(key: str) -> list[KeptChange]:
    """Every change of one number, the newest first, in one query."""
    was, changes = ALL_NUMBERS[key].start, []
    for entry in HouseRule.history.filter(key=key).select_related("history_user").order_by("history_date", "pk"):
        changes.append(KeptChange(entry.pk, entry.history_date, entry.history_user, was, entry.value))
        was = entry.value
    return changes[::-1]


def newest_changes() -> dict[str, Any]:
    """The last entry of the history of each number that was ever changed, by its key, in one query."""
    return {entry.key: entry for entry in HouseRule.history.latest_of_each().select_related("history_user")}
