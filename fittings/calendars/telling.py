"""What a calendar is told of an appointment: staff are told who and where by the salon's signs, the client when."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from fittings.calendars.writing import Address, CalendarEntry, Method, write_calendar
from fittings.models import Appointment, CalendarFeed
from salon.models import Salon

PAST, AHEAD = timedelta(days=60), timedelta(days=400)


def feed_of(feed: CalendarFeed, *, salon: Salon, at: datetime) -> bytes:
    """A stylist's or a room's appointments of the last months and the coming year. One query.

    DTSTAMP is the newest change, so that a feed in which nothing changed is the same file.
    """
    appointments = list(appointments_in(feed, at=at))
    newest = max((appointment.changed_at for appointment in appointments), default=feed.made_at)
    return write_calendar(
        [_for_staff(appointment) for appointment in appointments],
        name=f"{feed.stylist or feed.place}, {salon.name}",
        zone=ZoneInfo(salon.time_zone),
        method="PUBLISH",
        written_at=newest,
    )


def appointments_in(feed: CalendarFeed, *, at: datetime) -> QuerySet[Appointment]:
    """Cancelled ones too: a calendar that has them must be told."""
    whose = {"stylist": feed.stylist} if feed.stylist_id else {"place": feed.place}
    return Appointment.objects.filter(**whose, starts_at__gte=at - PAST, starts_at__lt=at + AHEAD).select_related(
        "client", "place", "stylist"
    )


def invitation_of(appointment: Appointment, *, salon: Salon, at: datetime) -> bytes:
    """The file that puts one appointment into the client's own calendar, or takes it out again."""
    cancelled = not appointment.is_standing
    to_her = bool(salon.email and appointment.client.email)
    method: Method = "PUBLISH" if not to_her else "CANCEL" if cancelled else "REQUEST"
    entry = _entry(
        appointment,
        summary=f"Appointment at {salon.name}",
        location=" ".join(salon.address.split("\n")),
        description=f"To change it, ring {salon.phone}." if salon.phone else "",
        organizer=Address(salon.name, salon.email) if to_her else None,
        attendee=Address(str(appointment.client), appointment.client.email) if to_her else None,
    )
    return write_calendar([entry], name=salon.name, zone=ZoneInfo(salon.time_zone), method=method, written_at=at)


def _for_staff(appointment: Appointment) -> CalendarEntry:
    """An initial and the client's reference: enough for those who can look it up, nothing for those who can't."""
    client = appointment.client
    return _entry(
        appointment,
        summary=f"{str(client)[:1]}. ({client.reference})",
        location=f"{appointment.place}, {appointment.stylist}",
    )


def _entry(
    appointment: Appointment,
    *,
    summary: str,
    location: str,
    description: str = "",
    organizer: Address | None = None,
    attendee: Address | None = None,
) -> CalendarEntry:
    return CalendarEntry(
        uid=appointment.calendar_uid,
        sequence=appointment.sequence,
        starts_at=appointment.starts_at,
        ends_at=appointment.ends_at,
        booked_at=appointment.booked_at,
        changed_at=appointment.changed_at,
        is_cancelled=not appointment.is_standing,
        summary=summary,
        location=location,
        description=description,
        organizer=organizer,
        attendee=attendee,
    )
