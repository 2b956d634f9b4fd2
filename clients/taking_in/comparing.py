"""Who of those read is here already, and who has a namesake here. Queries by batches of the file, never by line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from clients.models import Client
from clients.models.search import folded, phone_tail
from clients.taking_in.people import LineSaid, Person

AT_ONCE = 500
NameKey = tuple[str, str]


def name_key(fields_of: Person) -> NameKey:
    return folded(fields_of.fields["family_name"]), folded(fields_of.fields["given_name"])


def compared(people: Sequence[Person]) -> tuple[list[Person], list[LineSaid]]:
    """Those to be registered, and what is said of every line.

    Known is who has the same two names and nothing that tells them apart: no different phone, address or birth.
    """
    namesakes = _namesakes(people)
    new, said = [], list[LineSaid]()
    first_line: dict[tuple[NameKey, str, str], int] = {}
    for person in people:
        key = name_key(person)
        facts = (key, phone_tail(person.fields["phone"]), person.fields["email"].casefold())
        if facts in first_line:
            says = f"The same person stands in line {first_line[facts]}. Take one of them out."
            said.append(LineSaid.to_mend(person.line, person.name, says))
            continue
        first_line[facts] = person.line
        same = next((client for client in namesakes[key] if _is_her(client, person)), None)
        if same:
            said.append(LineSaid(person.line, "known", person.name, f"Here already: {same.reference}. Left as it is."))
            continue
        new.append(person)
        remarks = list(person.remarks)
        if namesakes[key]:
            remarks.append(f"There is another {person.name} here: {namesakes[key][0].reference}.")
        said.append(LineSaid(person.line, "new", person.name, " ".join(remarks)))
    return new, said


def _namesakes(people: Sequence[Person]) -> dict[NameKey, list[Client]]:
    families = sorted({name_key(person)[0] for person in people})
    found: dict[NameKey, list[Client]] = defaultdict(list)
    wanted = {name_key(person) for person in people}
    for start in range(0, len(families), AT_ONCE):
        for client in Client.objects.active().filter(family_folded__in=families[start : start + AT_ONCE]):
            key = (client.family_folded, client.given_folded)
            if key in wanted:
                found[key].append(client)
    return found


def _is_her(client: Client, person: Person) -> bool:
    """Whether nothing that both tell is different."""
    told = person.fields
    pairs = (
        (phone_tail(client.phone), phone_tail(told["phone"])),
        (client.email_folded, told["email"].casefold()),
        (client.born_on, told["born_on"]),
    )
    return all(here == there for here, there in pairs if here and there)
