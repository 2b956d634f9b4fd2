"""Which messages the log shows, in which order, and by which sign each state is known."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.db.models import QuerySet

from fittings.models import Reminder

State = Reminder.State

SO_FAR: Final = ""
SIGNS: Final[dict[str, str]] = {  # beside the word, so that a column of states can be run down by eye
    State.DUE: "○",
    State.SENDING: "→",
    State.SENT: "✓",
    State.FAILED: "↻",
    State.GIVEN_UP: "✕",
    State.UNKNOWN: "?",
    State.DROPPED: "–",
}
CHOICES: Final = ((SO_FAR, "All up to now"), *((str(state.value), str(state.label)) for state in State))
CAN_BE_TRIED: Final = (State.FAILED, State.GIVEN_UP)


def messages_shown(state: str, *, at: datetime) -> QuerySet[Reminder]:
    """Newest first; those that are still to come soonest first. An unknown word shows all up to now."""
    rows = Reminder.objects.select_related("client", "appointment", "owned_piece", "settled_by")
    if state == State.DUE:
        return rows.filter(state=state).order_by("next_try_at", "pk")
    if state in State.values:
        return rows.filter(state=state).order_by("-due_at", "-pk")
    return rows.filter(due_at__lte=at).order_by("-due_at", "-pk")
