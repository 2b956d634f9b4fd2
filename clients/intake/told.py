"""What a client wrote in her intake, question by question, for whoever may read it."""

from __future__ import annotations

from typing import NamedTuple

from clients.models import Intake
from clients.models.health import Substance


class Told(NamedTuple):
    question: str
    answer: str


def told_in(intake: Intake) -> tuple[Told, ...]:
    """The questions she answered, in the order in which they were put; nothing for one she left empty."""
    substances = ", ".join(str(Substance(one).label) for one in intake.substances)
    told = (
        Told("Her hair", intake.story),
        Told("Since when", intake.losing_since),
        Told("Chemotherapy", intake.get_chemotherapy_display()),
        Told("A doctor treats her hair or scalp", intake.get_under_treatment_display()),
        Told("Her skin has reacted to something", intake.get_reacts_display()),
        Told("Namely", substances),
        Told("What happened", intake.reaction),
        Told("Of her health", intake.medicines),
        Told("She wishes for", intake.wishes),
    )
    return tuple(one for one in told if one.answer)
