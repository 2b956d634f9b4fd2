"""Which day an address asks for."""

from __future__ import annotations

from datetime import date

YEARS = range(1900, 2200)  # at the ends of the calendar there is no day before or after


def day_asked_for(text: str | None, today: date) -> date:
    """The day in the address, or today when none or nonsense is written there."""
    try:
        day = date.fromisoformat(text or "")
    except ValueError:
        return today
    return day if day.year in YEARS else today
