"""How a moment and an appointment are told at the desk: by the salon's clock, and which of two moments is meant."""

from __future__ import annotations

from datetime import datetime

from django.utils.timezone import localtime

from fittings.models import Appointment


def clock_told(moment: datetime) -> str:
    """“10:00”, and “01:30, before the clocks go back” of the first of two."""
    local = localtime(moment)
    if not is_doubled(moment):
        return f"{local:%H:%M}"
    return f"{local:%H:%M}, {'after' if local.fold else 'before'} the clocks go back"


def is_doubled(moment: datetime) -> bool:
    """Whether the salon's clock shows this time twice that day."""
    local = localtime(moment)
    return local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()


def moment_told(moment: datetime) -> str:
    local = localtime(moment)
    return f"{local:%A} {local.day} {local:%B}, {clock_told(moment)}"


def told_of(appointment: Appointment) -> str:
    """Who, what for, when, with whom and where, as it is read back on the telephone."""
    return (
        f"{appointment.client}, {appointment.kind}, {moment_told(appointment.starts_at)}, "
        f"with {appointment.stylist}, {appointment.place}"
    )
