"""Writes appointments as iCalendar (RFC 5545), without a word of what they are for.

What is written is for programs outside the salon: no kind of visit, no full name in a feed, no note. A UID never
changes and SEQUENCE only grows (`fittings.booking` raises it); what was cancelled stays and says so, for a program that
has read it once keeps what simply disappears. The library folds lines by octets and escapes text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from icalendar import Event

Method = Literal["PUBLISH", "REQUEST", "CANCEL"]
PRODUCT = "-//Salon client record//Appointments//EN"
ASKED_ANEW = timedelta(minutes=30)


@dataclass(frozen=True)
class Address:
    """Somebody's name and e-mail address."""

    name: str
    email: str


@dataclass(frozen=True)
class CalendarEntry:
    """One appointment as a calendar tells it."""

    uid: UUID
    sequence: int
    starts_at: datetime
    ends_at: datetime
    booked_at: datetime
    changed_at: datetime
    is_cancelled: bool
    summary: str
    location: str = ""
    description: str = ""
    organizer: Address | None = None
    attendee: Address | None = None


def write_calendar(
    entries: Sequence[CalendarEntry], *, name: str, zone: ZoneInfo, method: Method, written_at: datetime
) -> bytes:
    """The file: times in the salon's zone with its VTIMEZONE; `written_at` becomes DTSTAMP."""
    from icalendar import Calendar  # a tenth of a second, and only calendars need it

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", method)
    calendar.add("name", name)  # RFC 7986; the next line is the older spelling that many programs read
    calendar.add("x-wr-calname", name)
    if method == "PUBLISH":
        calendar.add("refresh-interval", ASKED_ANEW, parameters={"VALUE": "DURATION"})
    for entry in entries:
        calendar.add_component(_event(entry, zone, written_at))
    if entries:
        calendar.add_missing_timezones(
            first_date=date(min(entry.starts_at for entry in entries).year - 1, 1, 1),
            last_date=date(max(entry.ends_at for entry in entries).year + 2, 1, 1),
        )
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry, zone: ZoneInfo, written_at: datetime) -> Event:
    from icalendar import Event, vCalAddress

    event = Event()
    event.add("uid", str(entry.uid))  # random, so that it names no host and no time (RFC 7986, 5.3: MEMORY)
    event.add("dtstamp", written_at.astimezone(UTC))
    event.add("created", entry.booked_at.astimezone(UTC))
    event.add("last-modified", entry.changed_at.astimezone(UTC))
    event.add("sequence", entry.sequence)
    event.add("status", "CANCELLED" if entry.is_cancelled else "CONFIRMED")
    starts_at, ends_at = _written(entry.starts_at, entry.ends_at, zone)
    event.add("dtstart", starts_at)
    event.add("dtend", ends_at)
    event.add("summary", entry.summary)
    event.add("class", "PRIVATE")
    event.add("transp", "TRANSPARENT" if entry.is_cancelled else "OPAQUE")
    for word, text in (("location", entry.location), ("description", entry.description)):
        if text:
            event.add(word, text)
    for word, address in (("organizer", entry.organizer), ("attendee", entry.attendee)):
        if address:
            value = vCalAddress(f"mailto:{address.email}")
            value.params["CN"] = address.name
            event.add(word, value)
    return event


def _written(starts_at: datetime, ends_at: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Both on the salon's clock; in UTC when either lies in the later of two equal hours, which a local time can't say:
    it means the first (RFC 5545, 3.3.5: READ)."""
    here = starts_at.astimezone(zone), ends_at.astimezone(zone)
    if any(_exists_twice(moment) and moment.fold for moment in here):
        return starts_at.astimezone(UTC), ends_at.astimezone(UTC)
    return here


def _exists_twice(moment: datetime) -> bool:
    return moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()
