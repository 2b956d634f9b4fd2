"""Makes two records of one person one, and parts them again: the only writer of `Merge`.

Every row that belongs to the one goes to the other, whatever table it is in; see `clients.belonging`. What the kept
record has already stays behind and is named. The record that went keeps its own words and history, and its reference
leads to the kept one.

Other deeds hold a row of a client's first and her record after it: a till its sale, then whose payment it is. Who holds
both records must wait for no row, or the two wait for each other; so a row that somebody holds makes the merge let go
of everything and begin again a moment later.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from time import sleep
from typing import Any, Final, ParamSpec, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, OperationalError, transaction
from django.db.models import Q

from clients.belonging import belongings
from clients.indexing import index_clients
from clients.merge_plan import FIELDS, as_stored, merged_details, plan_merge
from clients.models import Client, Consent, Merge, Photo, PhotoSet
from clients.registering import change_client
from clients.ties import Ties
from salon.models import User

TRIES: Final = 40
PAUSE: Final = 0.05  # seconds; a deed at the till holds its rows for less
LOCK_NOT_AVAILABLE: Final = "55P03"  # PostgreSQL's code for a row that is held, where one does not wait for it

Told = ParamSpec("Told")
Given = TypeVar("Given")


def _when_nobody_holds_a_row(deed: Callable[Told, Given]) -> Callable[Told, Given]:
    """The deed in one transaction, begun anew while somebody holds a row that it moves."""

    @wraps(deed)
    def done(*args: Told.args, **told: Told.kwargs) -> Given:
        for _ in range(TRIES):
            try:
                with transaction.atomic():
                    return deed(*args, **told)
            except OperationalError as held:
                if getattr(held.__cause__, "sqlstate", "") != LOCK_NOT_AVAILABLE:
                    raise
            sleep(PAUSE)
        raise ValidationError(
            "Somebody is writing in one of these records; nothing was changed. Try again in a moment."
        )

    return done


@_when_nobody_holds_a_row
def merge_clients(
    *, keep: Client, gone: Client, by: User, at: datetime, take: Mapping[str, str] | None = None
) -> Merge:
    """Let `gone` go into `keep`; raises ValidationError that names what forbids it. `take`: see `merged_details`."""
    keep, gone = _locked(keep, gone)
    for client in (keep, gone):
        if client.erased_at:
            raise ValidationError(f"{client.reference} has been erased; it can't be merged.")
        if client.merged_into_id:
            raise ValidationError(f"{client.reference} has gone into another record already.")
    plan = plan_merge(keep, gone)
    if plan.refusals:
        raise ValidationError(plan.refusals)
    details = merged_details(keep, gone, take or {})
    merge = Merge(kept=keep, gone=gone, by=by, at=at)
    merge.filled_in = {
        name: [as_stored(getattr(keep, name)), as_stored(details[name])]
        for name in FIELDS
        if details[name] != getattr(keep, name)
    }
    for belonging in belongings():
        rows = belonging.of(gone).exclude(pk__in=plan.staying(belonging))
        if keys := list(rows.values_list("pk", flat=True)):
            merge.moved[belonging.label] = keys
            _move(rows, belonging.field, keep)
        if staying := plan.staying(belonging):
            merge.stayed[belonging.label] = staying
        merge.newest[belonging.label] = belonging.newest()
    _lead(gone, to=keep)
    index_clients([change_client(client=keep, by=by, **details)])
    merge.full_clean()
    merge.save()
    return merge


@dataclass(frozen=True)
class Parted:
    """A merge that was undone, and a sentence for everything that is not as it was before it."""

    merge: Merge
    notes: list[str]


@_when_nobody_holds_a_row
def undo_merge(*, merge: Merge, by: User, at: datetime) -> Parted:
    """Give the record that went back what it had; raises ValidationError when the two can't be parted any more.

    What was written since in the kept record stays there, unless it hangs on something that goes back. Details filled
    in by the merge are taken back if nobody has changed them since.
    """
    keep, gone = _locked(merge.kept, merge.gone)
    merge = Merge.objects.select_for_update().get(pk=merge.pk)
    _refuse_unless_last(merge, keep, gone)
    moving = {
        belonging: set(belonging.of(keep).filter(pk__in=merge.moved[belonging.label]).values_list("pk", flat=True))
        for belonging in belongings()
        if belonging.label in merge.moved
    }
    notes = _keep_photos_inside(keep, moving)
    notes += Ties.of(keep).gather(moving, newest=merge.newest)
    for belonging, keys in moving.items():
        _move(belonging.of(keep).filter(pk__in=keys), belonging.field, gone)
    _lead(gone, to=None)
    details, changed_since = _details_to_take_back(merge, keep)
    index_clients([change_client(client=keep, by=by, **details)])
    merge.undone_by, merge.undone_at = by, at
    merge.full_clean()
    merge.save()
    return Parted(merge, notes + changed_since)


def _locked(*clients: Client) -> list[Client]:
    """The same clients as kept now, locked in one order whoever asks, so that no two deeds wait for each other."""
    found = {
        client.pk: client
        for client in Client.objects.select_for_update().filter(pk__in=[c.pk for c in clients]).order_by("pk")
    }
    return [found[client.pk] for client in clients]


def _move(rows: Any, field: str, client: Client) -> None:
    """Raises OperationalError where somebody holds one of the rows, rather than wait."""
    list(rows.select_for_update(nowait=True).values_list("pk"))
    try:
        with transaction.atomic():
            rows.order_by().update(**{field: client})
    except IntegrityError as refused:
        name = rows.model._meta.verbose_name_plural
        raise ValidationError(f"The {name} of both can't stand in one record; nothing was changed.") from refused


def _lead(client: Client, *, to: Client | None) -> None:
    """Let a record's reference lead to another one, or stand for itself again; who did it and when is in the merge."""
    client.merged_into = to
    Client.objects.filter(pk=client.pk).update(merged_into=to)
    index_clients([client])


def _refuse_unless_last(merge: Merge, keep: Client, gone: Client) -> None:
    if merge.undone_at:
        raise ValidationError("This merge has been undone already.")
    if keep.erased_at or gone.erased_at:
        raise ValidationError("One of the two records has been erased; they can't be parted any more.")
    later = Merge.objects.standing().filter(Q(kept=keep) | Q(gone=keep), pk__gt=merge.pk).order_by("-pk").first()
    if later:
        raise ValidationError(
            f"{later.gone.reference} went into {later.kept.reference} after that: undo merge {later.reference} first."
        )


def _keep_photos_inside(keep: Client, moving: dict[Any, set[int]]) -> list[str]:
    """A yes to showing a photo, given in the one record, doesn't hold for a photo that is the other's."""
    keys = {belonging.model: keys for belonging, keys in moving.items()}
    sets, consents = keys.get(PhotoSet, set()), keys.get(Consent, set())
    shown = Photo.objects.filter(photo_set__client=keep, publicity_consent__client=keep)
    parted = shown.filter(
        Q(photo_set__in=sets) & ~Q(publicity_consent__in=consents)
        | ~Q(photo_set__in=sets) & Q(publicity_consent__in=consents)
    )
    count = parted.update(publicity_consent=None, publicity_by=None, publicity_at=None)
    return [f"Photos no longer shown outside, for she agreed to them in the other record: {count}."] if count else []


def _details_to_take_back(merge: Merge, keep: Client) -> tuple[dict[str, Any], list[str]]:
    """What the kept record said before, and a sentence for each detail that somebody has changed since."""
    back: dict[str, Any] = {}
    notes = []
    for name, (before, after) in merge.filled_in.items():
        if as_stored(getattr(keep, name)) == after:
            back[name] = date.fromisoformat(before) if name == "born_on" and before else before
        else:
            label = str(Client._meta.get_field(name).verbose_name)  # type: ignore[union-attr]  # a column has one
            notes.append(f"The {label} was changed since and stays as it is.")
    return back, notes
