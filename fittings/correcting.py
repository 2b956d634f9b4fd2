"""Strikes out an entry that should not have been made: a new entry says so and why, the old one stays as it is.

To put something else in its place, the deed that made the entry takes it as `corrects`. The care dates that rest on the
entry are worked out anew. The piece's clips and tape are not: from an entry alone nobody knows how it is fixed today.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final, TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.timezone import localdate

from fittings.caring import work_out_care
from fittings.models import ConditionCheck, OwnedPiece, Service, StrandTest, Wash, WearEntry
from fittings.models.entry import Entry
from pieces.models import Unit
from salon.models import User

Row = TypeVar("Row", bound=Entry)

WHO_AND_WHEN: Final[dict[type[Entry], tuple[str, str]]] = {
    Service: ("done_by", "done_at"),
    ConditionCheck: ("checked_by", "checked_at"),
    WearEntry: ("recorded_by", "recorded_at"),
    Wash: ("recorded_by", "recorded_at"),
    StrandTest: ("tested_by", "tested_at"),
}
"""Which columns of each kind say who made the entry and when."""


@transaction.atomic
def strike_out(*, entry: Row, because: str, by: User, at: datetime) -> Row:
    """Say that an entry should not have been made. Returns the entry that says so.

    Raises ValidationError for one that was corrected already, one that only strikes another out, a service that is
    only planned, and without a reason.
    """
    model = type(entry)
    stored = _held(entry)
    _refuse_if_it_can_not_be(stored)
    again = _the_same(stored)
    again.corrects, again.corrected_because, again.struck_out = stored, because.strip(), True
    who, when = WHO_AND_WHEN[model]
    setattr(again, who, by)
    setattr(again, when, at)
    if isinstance(again, ConditionCheck):
        again.recorded_at = at  # beside the moment it was looked over
    again.full_clean()
    again.save()
    for wash in Wash.objects.standing().filter(service=stored) if isinstance(stored, Service) else ():
        strike_out(entry=wash, because=because, by=by, at=at)
    for owned in _pieces_it_is_about(stored):
        work_out_care(owned=owned, on=localdate(at))
    return again  # type: ignore[no-any-return]  # rows of an abstract model are untyped


def _held(entry: Any) -> Any:
    """The entry as kept now, and before it what the deeds that correct it hold: its unit or its piece.

    A correction of a service holds the service itself, and the piece after it.
    """
    if isinstance(entry, StrandTest):
        Unit.objects.select_for_update(no_key=True).get(pk=entry.unit_id)
    elif not isinstance(entry, Service):
        OwnedPiece.objects.select_for_update().get(pk=entry.owned_piece_id)
    return type(entry).objects.select_for_update(of=("self",)).get(pk=entry.pk)


def _refuse_if_it_can_not_be(entry: Any) -> None:
    if entry.struck_out:
        raise ValidationError("This only says that another entry was struck out; it stays.")
    if type(entry).objects.filter(corrects=entry).exists():
        raise ValidationError("This was corrected already. Correct the newer entry, if that is wrong too.")
    if isinstance(entry, Service) and not entry.is_done:
        raise ValidationError("This is only planned; take it out of the plan instead.")


def _the_same(entry: Any) -> Any:
    """A new row with the same facts, without what one row alone may hold."""
    alone = {"id", "corrects", "corrected_because", "struck_out"}
    fields = [
        field
        for field in entry._meta.concrete_fields
        if field.name not in alone and not (field.unique or isinstance(field, models.OneToOneField))
    ]
    again = type(entry)(**{field.attname: getattr(entry, field.attname) for field in fields})
    if isinstance(again, Wash):
        again.link = None  # it is somebody of the salon who strikes it out
    return again


def _pieces_it_is_about(entry: Any) -> list[OwnedPiece]:
    if isinstance(entry, StrandTest):
        return []  # no care date rests on one
    return [entry.owned_piece] if entry.owned_piece else []
