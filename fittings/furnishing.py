"""Adds and changes the places a client can sit at and the kinds of visit that can be booked, and who does which.

Neither is ever taken away: an old visit goes on saying what it was and where. A place goes out of use, a kind is no
longer offered; what is booked already stays booked, and the pages list it so that somebody looks at it. Who changed
what and when is kept with the records; `by` is nobody at a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypedDict, TypeVar, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction

from fittings.free_times import stylists
from fittings.models import Place, Purpose, ServiceKind
from salon.holding import hold_salon
from salon.models import User

ROOM, CHAIR, BASIN = Place.Sort.ROOM, Place.Sort.CHAIR, Place.Sort.BASIN
# Common practice: where each is held unless the owner says otherwise. Nobody is examined or fitted in the open room.
USUALLY_HELD_AT = {
    Purpose.CONSULT: {ROOM},
    Purpose.FITTING: {ROOM},
    Purpose.CUT_IN: {ROOM, CHAIR},
    Purpose.COLOUR: {CHAIR, BASIN},
    Purpose.WASH: {BASIN},
    Purpose.CHECK_UP: {ROOM, CHAIR},
    Purpose.REPAIR: {ROOM, CHAIR},
    Purpose.SKIN_TEST: {ROOM, CHAIR},
    Purpose.TEST_READING: {ROOM, CHAIR},
    Purpose.OTHER: {ROOM, CHAIR, BASIN},
}


Row = TypeVar("Row", Place, ServiceKind)


class KindChoices(TypedDict, total=False):
    """What a kind of visit can do without when it is new."""

    clean_up_minutes: int
    price_minor: int
    deposit_minor: int
    in_private_room: bool
    at_chair: bool
    at_basin: bool
    needs_tape_test: bool
    needs_colour_test: bool
    is_offered: bool


class KindFields(KindChoices, total=False):
    """What may be changed about a kind of visit."""

    name: str
    purpose: str
    minutes: int


class PlaceFields(TypedDict, total=False):
    """What may be changed about a place."""

    name: str
    sort: str
    is_in_use: bool


@transaction.atomic
def add_place(*, name: str, sort: str = Place.Sort.CHAIR, is_in_use: bool = True, by: User | None = None) -> Place:
    """A room, chair or basin that one client uses at a time; raises ValidationError for a name that is taken."""
    hold_salon()
    place = Place()
    _set(place, name=name, sort=sort, is_in_use=is_in_use)
    return _keep(place, by)


@transaction.atomic
def change_place(*, place: Place, by: User | None, **fields: Unpack[PlaceFields]) -> Place:
    """Change what is named, or take it out of use; a change to nothing leaves no trace."""
    hold_salon()
    kept = Place.objects.select_for_update().get(pk=place.pk)
    return _keep(kept, by) if _set(kept, **fields) else kept


@transaction.atomic
def add_kind_of_visit(
    *,
    name: str,
    minutes: int,
    purpose: str = Purpose.OTHER,
    done_by: Iterable[User] = (),
    by: User | None = None,
    **fields: Unpack[KindChoices],
) -> ServiceKind:
    """A kind of visit with its length; the place stays taken for the clean-up after it. Amounts in minor units.

    Where none of the three sorts of place is named it is held where its purpose usually is.
    """
    if not fields.keys() & {"in_private_room", "at_chair", "at_basin"}:
        held = usual_places(purpose)
        fields |= {"in_private_room": ROOM in held, "at_chair": CHAIR in held, "at_basin": BASIN in held}
    hold_salon()
    kind = ServiceKind()
    _set(kind, name=name, minutes=minutes, purpose=purpose, **fields)
    _keep(kind, by)
    _let_do(kind, done_by, by)
    return kind


@transaction.atomic
def change_kind_of_visit(
    *, kind: ServiceKind, by: User | None, done_by: Iterable[User] | None = None, **fields: Unpack[KindFields]
) -> ServiceKind:
    """Change what is named, who does it, or that it is offered; a change to nothing leaves no trace.

    What is booked already keeps its length and its deposit.
    """
    hold_salon()
    kept = ServiceKind.objects.select_for_update().get(pk=kind.pk)
    if _set(kept, **fields):
        _keep(kept, by)
    if done_by is not None:
        _let_do(kept, done_by, by)
    return kept


@transaction.atomic
def choose_what_she_does(*, stylist: User, kinds: Iterable[ServiceKind], by: User) -> list[ServiceKind]:
    """Let her do these of the kinds that are offered, and no others; returns those that changed.

    Refused where nobody would be left who does a kind: no name at all would mean that everybody does it.
    """
    hold_salon()
    hers = {kind.pk for kind in kinds}
    everybody = set(stylists())
    changed = []
    for kind in ServiceKind.objects.offered().select_for_update().prefetch_related("done_by"):
        named = set(kind.done_by.all())
        does_it = not named or stylist in named
        if does_it == (kind.pk in hers):
            continue
        left = (named or everybody) - {stylist} if does_it else named | {stylist}
        if not left & everybody:
            raise ValidationError(
                {"kinds": f"Nobody else does “{kind}”. Let somebody else do it first, or offer it no longer."}
            )
        _let_do(kind, left, by)
        changed.append(kind)
    return changed


def usual_places(purpose: str) -> set[Place.Sort]:
    """Where a visit for this is usually held; any place for a purpose that is none."""
    return USUALLY_HELD_AT.get(Purpose(purpose) if purpose in Purpose.values else Purpose.OTHER, set(Place.Sort))


def _let_do(kind: ServiceKind, people: Iterable[User], by: User | None) -> None:
    """Keep their names; everybody's names are kept as none, so that somebody who comes later does it too."""
    named = set(people)
    if set(stylists()) <= named:
        named = set()
    if named != set(kind.done_by.all()):
        _sign(kind, by)
        kind.done_by.set(named)


def _set(row: Place | ServiceKind, **fields: Any) -> bool:
    """Put the values on the row; whether any of them differs."""
    if "name" in fields:
        fields["name"] = " ".join(fields["name"].split())
    before = {name: getattr(row, name) for name in fields}
    for name, value in fields.items():
        setattr(row, name, value)
    return before != fields or row._state.adding


def _keep(row: Row, by: User | None) -> Row:
    row.full_clean()
    _sign(row, by)
    row.save()
    return row


def _sign(row: Place | ServiceKind, by: User | None) -> None:
    if by is not None:
        row._history_user = by  # type: ignore[union-attr]  # where django-simple-history looks for who did it
