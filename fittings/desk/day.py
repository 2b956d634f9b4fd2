"""Sorts a day's appointments for its page: one column a place, in order of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from fittings.models import Appointment, Place


@dataclass
class PlaceColumn:
    """A place and who uses it that day."""

    place: Place
    appointments: list[Appointment] = field(default_factory=list)


def day_by_place(appointments: Iterable[Appointment]) -> list[PlaceColumn]:
    """Every place has a column, also an empty one: an empty room is what the desk looks for."""
    columns = {place.pk: PlaceColumn(place) for place in Place.objects.all()}
    for appointment in appointments:
        columns[appointment.place_id].appointments.append(appointment)
    return list(columns.values())
