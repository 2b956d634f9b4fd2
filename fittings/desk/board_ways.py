"""The ways to move an appointment that need no dragging: earlier, later, the place or the stylist beside."""

from __future__ import annotations

from collections.abc import Sequence

from fittings.desk.day import Way
from fittings.models import Appointment, Place
from salon.models import User

_BY_TIME = ((-60, "1 hour earlier"), (-15, "15 minutes earlier"), (15, "15 minutes later"), (60, "1 hour later"))


def ways_of(appointment: Appointment, *, places: Sequence[Place], stylists: Sequence[User]) -> tuple[Way, ...]:
    """Those of a booked appointment; empty for another. Call with `kind` and its `done_by` fetched."""
    if appointment.state != Appointment.State.BOOKED:
        return ()
    kind, here, with_her = appointment.kind, appointment.place_id, appointment.stylist_id
    does_it = {user.pk for user in kind.done_by.all()}
    suiting = [one for one in places if one.pk == here or (one.is_in_use and one.sort in kind.place_sorts)]
    able = [one for one in stylists if one.pk == with_her or not does_it or one.pk in does_it]
    return (
        *(Way("shift", minutes, label) for minutes, label in _BY_TIME),
        *_beside("place", suiting, here, "To"),
        *_beside("stylist", able, with_her, "With"),
    )


def _beside(field: str, all_of_them: Sequence[Place] | Sequence[User], now: int, word: str) -> list[Way]:
    """The one before and the one after, in the order of the columns; at the ends there is only one."""
    keys = [one.pk for one in all_of_them]
    at = keys.index(now)
    around = [*all_of_them[max(at - 1, 0) : at], *all_of_them[at + 1 : at + 2]]
    return [Way(field, one.pk, f"{word} {one}") for one in around]
