"""Which reasons speak against an appointment: the one list that booking, moving and the search for free times share.

Each reason says who or what stands in the way and until when, in a sentence for the desk. Some may be gone past with a
written reason; two clients in one place, or anybody twice at once, never.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.timezone import localtime

from fittings.models import Appointment

HAPPENING_NOW = timedelta(minutes=15)  # what began no longer ago may still be written down
FURTHEST_AHEAD = timedelta(days=2 * 366)  # a later one is a slip of the finger in the year


@dataclass(frozen=True)
class Obstacle:
    """One reason why an appointment can't stand; `about` is the field of the appointment to change."""

    code: str
    says: str
    about: str
    may_pass: bool


def obstacles_to(appointment: Appointment, *, at: datetime) -> list[Obstacle]:
    """What stands in the way of this appointment, saved or not; `at` is now. Empty when nothing does."""
    return [*_out_of_reach(appointment, at), *_clashes(appointment)]


def _out_of_reach(appointment: Appointment, at: datetime) -> list[Obstacle]:
    starts_at = appointment.starts_at
    if starts_at < at - HAPPENING_NOW and not _begins_as_before(appointment):
        return [_never("past", f"{localtime(starts_at):%A %d %B, %H:%M} is over; choose a time to come.")]
    if starts_at > at + FURTHEST_AHEAD:
        return [_never("far", "That is more than two years ahead; write the year again.")]
    return []


def _begins_as_before(appointment: Appointment) -> bool:
    """Somebody who is late may still be given another chair or stylist."""
    return Appointment.objects.filter(pk=appointment.pk, starts_at=appointment.starts_at).exists()


def _clashes(appointment: Appointment) -> list[Obstacle]:
    standing = Appointment.objects.standing().exclude(pk=appointment.pk).select_related("client", "place", "stylist")
    starts_at, ends_at = appointment.starts_at, appointment.ends_at
    found = []
    with_client = standing.filter(client=appointment.client).overlapping(starts_at, ends_at).first()
    if with_client:
        begins, ends = _clock(with_client.starts_at), _clock(with_client.ends_at)
        found.append(_never("client", f"{appointment.client} already has an appointment from {begins} to {ends}."))
    with_stylist = standing.filter(stylist=appointment.stylist).overlapping(starts_at, ends_at).first()
    if with_stylist:
        until = _clock(with_stylist.ends_at)
        found.append(_never("stylist", f"{appointment.stylist} is with {with_stylist.client} until {until}."))
    at_place = standing.holding_place(appointment.place, starts_at, appointment.place_free_at).first()
    if at_place and at_place.starts_at >= starts_at:
        begins = _clock(at_place.starts_at)
        found.append(_never("place", f"{appointment.place} is taken by {at_place.client} from {begins}."))
    elif at_place:
        until = _clock(at_place.place_free_at)
        found.append(_never("place", f"{appointment.place} is free again at {until}, after {at_place.client}."))
    return found


def _never(code: str, says: str, about: str = "starts_at") -> Obstacle:
    return Obstacle(code, says, about, may_pass=False)


def _clock(moment: datetime) -> str:
    return f"{localtime(moment):%H:%M}"  # people read the salon's clock, the database keeps UTC
