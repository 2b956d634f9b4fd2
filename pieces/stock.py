"""What happens to units: they come in, are set aside for a client, go out with her, and come back or are written off.

The only writer of a unit's state; whose it is while it is out is for `fittings` to say.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from simple_history.utils import bulk_create_with_history

from pieces.models import Unit, Variant
from salon.models import User

MOST_AT_ONCE = 50
IN_STOCK = (Unit.State.DRAWER, Unit.State.RESERVED)
_WHERE = {
    Unit.State.DRAWER: "in the drawer",
    Unit.State.RESERVED: "set aside for a client already",
    Unit.State.WITH_CLIENT: "with a client",
    Unit.State.GONE: "written off",
}


@transaction.atomic
def receive_units(*, variant: Variant, count: int, purpose: str, received_on: date, by: User) -> list[Unit]:
    """Put new units of one variant into the drawer, each with a number of its own; raises ValidationError."""
    if not 1 <= count <= MOST_AT_ONCE:
        raise ValidationError(
            {"count": f"{count} units can't come in at once. Write a number from 1 to {MOST_AT_ONCE}."}
        )
    units = [Unit(variant=variant, purpose=purpose, received_on=received_on) for _ in range(count)]
    for unit in units:
        unit.full_clean()
    return bulk_create_with_history(units, Unit, default_user=by)  # type: ignore[no-any-return]  # untyped library


@transaction.atomic
def reserve_unit(*, unit: Unit, by: User) -> Unit:
    """Set a unit aside for a client; raises ValidationError unless it lies in the drawer."""
    return _move(unit, [Unit.State.DRAWER], Unit.State.RESERVED, "can't be set aside", by)


@transaction.atomic
def release_unit(*, unit: Unit, by: User) -> Unit:
    """Put a unit that was set aside back into the drawer; raises ValidationError unless it was set aside."""
    return _move(unit, [Unit.State.RESERVED], Unit.State.DRAWER, "can't be put back", by)


@transaction.atomic
def hand_over_unit(*, unit: Unit, by: User) -> Unit:
    """Let a unit out with a client; raises ValidationError unless it lies in the drawer or is set aside."""
    return _move(unit, IN_STOCK, Unit.State.WITH_CLIENT, "can't be handed over", by)


@transaction.atomic
def take_in_unit(*, unit: Unit, by: User, gone: bool = False) -> Unit:
    """Put a unit that was with a client back into the drawer, or write it off; raises ValidationError unless it was."""
    to = Unit.State.GONE if gone else Unit.State.DRAWER
    return _move(unit, [Unit.State.WITH_CLIENT], to, "can't be written off" if gone else "can't be taken in", by)


def _move(unit: Unit, expected: Collection[Unit.State], to: Unit.State, refusal: str, by: User) -> Unit:
    """Move the stored unit, which may have moved since the caller read it; the row is held meanwhile."""
    stored = Unit.objects.select_for_update().get(pk=unit.pk)
    if stored.state not in expected:
        raise ValidationError(f"Unit {stored.number} {refusal}: it is {_WHERE[Unit.State(stored.state)]}.")
    stored.state = to
    stored.full_clean()
    stored._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    stored.save()
    return stored
