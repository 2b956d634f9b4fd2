"""Who is registered already and may be the person just typed, and why it may be her.

A question to the desk, never an answer: sisters share a family name, a house shares its telephone. A fixed number of
queries, each over an index and cut off.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from clients.models import Client, SearchKey
from clients.models.finding import begins
from clients.models.search import PHONE_TAIL, beginning_of_namesakes, beginning_of_number, folded, phone_tail

SHOWN_AT_MOST = 10
COMPARED_AT_MOST = 2_000  # of one family name, or of one given name and one first letter
SHORTEST_WITH_A_SLIP = 4  # letters: among shorter names one letter makes another name


@dataclass(frozen=True)
class Likeness:
    """Somebody registered, and what speaks for her being the same."""

    client: Client
    because: str


def likely_the_same(
    *, given_name: str, family_name: str, phone: str = "", email: str = "", born_on: date | None = None
) -> list[Likeness]:
    """The likelier first: the same names, then the same number, address or birth, then names but for one letter."""
    reasons: dict[int, str] = {}
    given, family = folded(given_name), folded(family_name)
    for because, who in (*_by_facts(given, family, phone, email, born_on), *_by_slips(given, family)):
        for pk in who:
            reasons.setdefault(pk, because)
    shown = dict(list(reasons.items())[:SHOWN_AT_MOST])
    clients = {client.pk: client for client in Client.objects.active().filter(pk__in=shown)}
    return [Likeness(clients[pk], because) for pk, because in shown.items() if pk in clients]


def _by_facts(given: str, family: str, phone: str, email: str, born_on: date | None) -> Iterator[tuple[str, list[int]]]:
    def first(**facts: object) -> list[int]:
        return list(Client.objects.active().filter(**facts).values_list("pk", flat=True)[:SHOWN_AT_MOST])

    yield "the same name", first(family_folded=family, given_folded=given)
    if len(phone_tail(phone)) == PHONE_TAIL:
        ends_alike = SearchKey.objects.filter(begins(beginning_of_number(phone)))
        yield "the same phone number", list(ends_alike.values_list("client", flat=True)[:SHOWN_AT_MOST])
    if email.strip():
        yield "the same e-mail address", first(email_folded=email.strip().casefold())
    if born_on:
        yield "the same family name and date of birth", first(family_folded=family, born_on=born_on)
    yield "the same names the other way round", first(family_folded=given, given_folded=family)


def _by_slips(given: str, family: str) -> Iterator[tuple[str, list[int]]]:
    because = "the same name but for one letter"
    of_the_family = Client.objects.active().filter(family_folded=family).values_list("pk", "given_folded")
    yield because, [pk for pk, other in of_the_family[:COMPARED_AT_MOST] if one_slip_apart(given, other)]
    called_so = SearchKey.objects.filter(begins(beginning_of_namesakes(given, family[:1])))
    namesakes = list(called_so.values_list("client", "client__family_folded")[:COMPARED_AT_MOST])
    yield because, [pk for pk, other in namesakes if one_slip_apart(family, other)]
    yield "the same name, or what she likes to be called", [pk for pk, other in namesakes if other == family]


def one_slip_apart(one: str, other: str) -> bool:
    """Whether one slip of the pen makes one of the other: a letter too many, another letter, or two neighbours swapped.

    Digits are no slip: “Ash 1” and “Ash 2” are two. Names of fewer than four letters are never taken for a slip.
    >>> one_slip_apart("holloway", "hollowey"), one_slip_apart("holloway", "hollowya"), one_slip_apart("anna", "ana")
    (True, True, True)
    >>> one_slip_apart("holloway", "holloway"), one_slip_apart("holloway", "hallowey"), one_slip_apart("ada", "ida")
    (False, False, False)
    """
    longer, shorter = sorted((one, other), key=len, reverse=True)
    if longer == shorter or len(longer) < SHORTEST_WITH_A_SLIP or len(longer) - len(shorter) > 1:
        return False
    at = next((at for at, (a, b) in enumerate(zip(longer, shorter, strict=False)) if a != b), len(shorter))
    if any(letter.isdecimal() for letter in longer[at : at + 1] + shorter[at : at + 1]):
        return False
    if len(longer) > len(shorter):
        return longer[at + 1 :] == shorter[at:]
    swapped = longer[at : at + 2] == shorter[at : at + 2][::-1] and longer[at + 2 :] == shorter[at + 2 :]
    return swapped or longer[at + 1 :] == shorter[at + 1 :]
