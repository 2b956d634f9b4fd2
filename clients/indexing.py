"""Keeps the keys of quick find in step with what they are made of.

Whoever writes a client's names, phone, e-mail address or whether her record stands, calls `index_clients`; it takes one
client as well as thousands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from clients.models import Client, SearchKey
from clients.models.search import keys_of

AT_ONCE = 5_000


def index_clients(clients: Iterable[Client]) -> None:
    """Write the keys that are missing and drop those that no longer hold; a record that was erased or went into another
    one keeps none, and the one it went into is found by its names, numbers and reference too."""
    clients = list(clients)
    for start in range(0, len(clients), AT_ONCE):
        _index(clients[start : start + AT_ONCE])


def _index(clients: list[Client]) -> None:
    records = _records_of(clients)
    wanted = {
        (client.pk, key)
        for client in clients
        for record in records[client.pk]
        for key in keys_of(record, listed_as=f"{client.family_folded} {client.given_folded}")
    }
    kept = {(row.client_id, bytes(row.key)): row.pk for row in SearchKey.objects.filter(client__in=clients)}
    SearchKey.objects.filter(pk__in=[pk for which, pk in kept.items() if which not in wanted]).delete()
    SearchKey.objects.bulk_create(
        [SearchKey(client_id=pk, key=key) for pk, key in sorted(wanted - kept.keys())], batch_size=AT_ONCE
    )


def _records_of(clients: list[Client]) -> dict[int, list[Client]]:
    """Each client's own record, and those that went into it, and those that had gone into these."""
    records: dict[int, list[Client]] = defaultdict(list)
    into = {client.pk: client.pk for client in clients if client.erased_at is None and client.merged_into_id is None}
    for client in clients:
        if client.pk in into:
            records[client.pk].append(client)
    while gone := list(Client.objects.filter(merged_into__in=into, erased_at__isnull=True)) if into else []:
        into = {record.pk: into[record.merged_into_id] for record in gone if record.merged_into_id}
        for record in gone:
            records[into[record.pk]].append(record)
    return records
