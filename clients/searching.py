"""Who is meant by what was typed at the door, and what to say when nobody is.

Who matches is `ClientQuerySet.found_by`; here the answer is cut into pages.
"""

from __future__ import annotations

from dataclasses import dataclass

from clients.models import Client
from salon.common.references import normalise_reference

PAGE_LENGTH = 25


@dataclass(frozen=True)
class FoundClients:
    """One page of an answer. `advice` is a sentence when nobody was found; the pages are not counted, which would read
    every match."""

    typed: str
    clients: list[Client]
    page: int
    has_more: bool
    advice: str


def find_clients(typed: str, *, page: int = 1) -> FoundClients:
    """One page of the clients that match; everybody, by name, when nothing was typed."""
    typed = " ".join(typed.split())
    start = (page - 1) * PAGE_LENGTH
    rows = Client.objects.found_by(typed)[start : start + PAGE_LENGTH + 1]
    return FoundClients(
        typed=typed,
        clients=rows[:PAGE_LENGTH],
        page=page,
        has_more=len(rows) > PAGE_LENGTH,
        advice="" if rows else _advice(typed, page),
    )


def _advice(typed: str, page: int) -> str:
    if page > 1:
        return "There are no more clients; go back to the first page."
    if not typed:
        return "No client is registered yet."
    try:
        reference = normalise_reference(typed)
    except ValueError as slip:
        if typed[0] in "cC" and any(c.isdecimal() or c == "-" for c in typed):  # clearly meant as a reference
            return str(slip)
        return (
            f"No client matches “{typed}”. Type the beginning of each name, some digits of her phone number, her "
            "e-mail address, or her reference."
        )
    if not reference.startswith("C-"):
        return f"{reference} is no client's reference: those begin with C."
    return f"No client has the reference {reference}."
