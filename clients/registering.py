"""Takes a new client in and changes what is known of who she is: the only writer of Client, besides `clients.merging`.

Names are kept as they are spelt and numbers as they are typed; the columns that quick find compares are derived.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from simple_history.utils import bulk_create_with_history

from clients.indexing import index_clients
from clients.models import Client
from salon.common.references import new_reference
from salon.models import User

AT_ONCE = 500


class ClientFields(TypedDict, total=False):
    """What may be changed about who a client is."""

    given_name: str
    family_name: str
    preferred_name: str
    phone: str
    email: str
    born_on: date | None
    guardian_name: str
    private_note: str


@transaction.atomic
def register_client(
    *,
    given_name: str,
    family_name: str,
    preferred_name: str = "",
    phone: str = "",
    email: str = "",
    born_on: date | None = None,
    guardian_name: str = "",
    private_note: str = "",
    by: User,
) -> Client:
    """Begin a client's record; raises ValidationError that says what to mend.

    Likely duplicates are the form's to ask about.
    """
    client = Client(created_by=by)
    while Client.objects.filter(reference=client.reference).exists():  # one in 300,000 among 100,000 clients
        client.reference = new_reference("C")
    _set(
        client,
        given_name=given_name,
        family_name=family_name,
        preferred_name=preferred_name,
        phone=phone,
        email=email,
        born_on=born_on,
        guardian_name=guardian_name,
        private_note=private_note,
    )
    _keep(client, by)
    return client


@transaction.atomic
def register_many(*, people: Sequence[ClientFields], by: User) -> list[Client]:
    """Begin the records of many whose fields were checked already: in batches, with their history and keys."""
    clients = [Client(created_by=by, **fields) for fields in people]
    for client in clients:
        client.fold()
    while taken := _twice_or_taken(clients):
        for client in taken:
            client.reference = new_reference("C")
    bulk_create_with_history(clients, Client, batch_size=AT_ONCE, default_user=by)
    index_clients(clients)
    return clients


@transaction.atomic
def change_client(*, client: Client, by: User, **fields: Unpack[ClientFields]) -> Client:
    """Change what is named and keep who did and when; returns the client as kept now.

    A change to nothing leaves no trace.
    """
    kept = Client.objects.active().select_for_update(no_key=True).filter(pk=client.pk).first()
    if kept is None:
        raise ValidationError("This record has been erased or has gone into another; it can't be changed any more.")
    if _set(kept, **fields):
        _keep(kept, by)
    return kept


def _set(client: Client, **fields: Unpack[ClientFields]) -> bool:
    """Put the fields on the client, without stray spaces; whether anything is now different."""
    changed = False
    for name, value in fields.items():
        if isinstance(value, str):
            value = value.strip() if name == "private_note" else " ".join(value.split())
        changed |= getattr(client, name) != value
        setattr(client, name, value)
    return changed


def _twice_or_taken(clients: Sequence[Client]) -> list[Client]:
    """Those whose reference somebody else has, here or among them; as good as never any."""
    seen = set[str]()
    for start in range(0, len(clients), AT_ONCE):
        references = [client.reference for client in clients[start : start + AT_ONCE]]
        seen |= set(Client.objects.filter(reference__in=references).values_list("reference", flat=True))
    again = []
    for client in clients:
        if client.reference in seen:
            again.append(client)
        seen.add(client.reference)
    return again


def _keep(client: Client, by: User) -> None:
    if client.born_on and client.born_on > timezone.localdate():
        raise ValidationError({"born_on": "A date of birth can't lie in the future."})
    client.full_clean()
    client._history_user = by  # read by the history table, which otherwise only knows whose request it is
    client.save()
    index_clients([client])
