"""The words of each message: calm, short, and never a word about health or what a visit is for.

Names of kinds of visit stay out for that reason. Times are the salon's, with their weekday. The short words are for
text messages: the 160 characters of GSM 03.38 where the salon's name and its address leave room for them (MEMORY).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from clients.models import Client
from fittings.calendars.telling import invitation_of
from fittings.messages.channels import Message
from fittings.messages.stopping import stop_address
from fittings.messages.wanted import time_told
from fittings.models import Reminder
from salon.models import Salon

Kind = Reminder.Kind
WITH_INVITATION: Final = (Kind.CONFIRMATION, Kind.CHANGED, Kind.CANCELLED)  # for her own calendar
ONE_TEXT: Final = 160  # characters of one text message
_PLAIN: Final = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "…": "...", "\u00a0": " "})


@dataclass(frozen=True)
class Words:
    subject: str
    body: str
    short: str


def message_of(rows: Sequence[Reminder], *, salon: Salon, at: datetime) -> Message:
    """The message of one row, or of several that are confirmed to one client together."""
    client, link = rows[0].client, stop_address(rows[0].client)
    moments = [time_told(row) for row in rows]
    words = words_of(rows[0].kind, moments, client=client, salon=salon, at=at, link=link)
    return Message(
        key=rows[0].message_id,
        client=client,
        subject=words.subject,
        body=words.body,
        short=words.short,
        salon_name=salon.name,
        answer_to=salon.email,
        stop_address=link,
        invitations=tuple(
            invitation_of(row.appointment, salon=salon, at=at)
            for row in rows
            if row.appointment and row.kind in WITH_INVITATION
        ),
    )


def words_of(kind: str, moments: Sequence[datetime], *, client: Client, salon: Salon, at: datetime, link: str) -> Words:
    """What it says. `moments`: the times it speaks of, several only in a confirmation; "time to come back" and
    "your next visit" speak of none."""
    zone = ZoneInfo(salon.time_zone)
    times = [moment.astimezone(zone) for moment in sorted(moments)]
    this_year = at.astimezone(zone).year
    subject, says, brief = _says(kind, [_in_full(time, this_year) for time in times], _briefly(times), salon)
    parts = [
        f"Dear {client.preferred_name or client.given_name},",
        says,
        _how_to_change(kind, salon),
        "\n".join(
            [salon.name, *filter(None, map(str.strip, salon.address.splitlines())), *filter(None, [salon.phone])]
        ),
        _how_to_stop(link),
    ]
    return Words(subject=subject, body="\n\n".join(parts) + "\n", short=_short(brief, salon, link))


def _says(kind: str, times: list[str], brief: str, salon: Salon) -> tuple[str, str, str]:
    """Subject, what the letter says, and what a text message says."""
    here, time = f"at {salon.name}", times[0]
    match kind:
        case Kind.CONFIRMATION if len(times) > 1:
            each = "\n".join(f"  {time}" for time in times)
            return "Your appointments", f"These are your appointments {here}:\n\n{each}", f"your appointments: {brief}."
        case Kind.CONFIRMATION:
            return (
                f"Your appointment on {time}",
                f"Your appointment {here} is on {time}.",
                f"your appointment: {brief}.",
            )
        case Kind.CHANGED:
            return (
                f"A new time for your appointment: {time}",
                f"Your appointment {here} has a new time. It is now on {time}.",
                f"new time: {brief}.",
            )
        case Kind.CANCELLED:
            return (
                f"Your appointment on {time} is cancelled",
                f"Your appointment {here} on {time} is cancelled.",
                f"appointment cancelled: {brief}.",
            )
        case Kind.TWO_DAYS | Kind.SAME_DAY:
            return (
                f"A reminder: your appointment on {time}",
                f"This is a reminder of your appointment {here} on {time}.",
                f"your appointment: {brief}.",
            )
        case Kind.CARE:
            return (
                "Your next visit",
                f"It is time to plan your next visit to {salon.name}.",
                "it is time to plan your next visit.",
            )
        case _:
            return (
                "Time to come back, as agreed",
                f"It is time to come back to {salon.name}, as agreed.",
                "time to come back, as agreed.",
            )


def _how_to_change(kind: str, salon: Salon) -> str:
    ring = f"please ring us on {salon.phone}" if salon.phone else "please tell us"
    if kind == Kind.CANCELLED:
        return f"For a new one, {ring}."
    if kind == Kind.CARE:
        return f"To set a time, {ring}. If we have set one already, just come."
    if kind == Kind.READING:
        return f"If we have not set a time with you yet, {ring}."
    return f"If you can't come or need another time, {ring}."


def _how_to_stop(link: str) -> str:
    if link:
        return f"You get this because you agreed to messages from us. To get no more of them:\n{link}"
    return "You get this because you agreed to messages from us. To get no more of them, tell us."


def _in_full(time: datetime, this_year: int) -> str:
    """Tuesday 3 March at 10:30, with the year when it is another one."""
    return f"{time:%A} {time.day} {time:%B}{f' {time.year}' if time.year != this_year else ''} at {time:%H:%M}"


def _briefly(times: list[datetime]) -> str:
    first = f"{times[0]:%a} {times[0].day} {times[0]:%b}, {times[0]:%H:%M}"
    return first if len(times) == 1 else f"{len(times)}, the first {first}"


def _short(brief: str, salon: Salon, link: str) -> str:
    """The salon's name gives way, down to its beginning, so that the time and the link stay whole."""
    ending = f" Stop: {link}" if link else ""
    name = salon.name.translate(_PLAIN)
    room = max(ONE_TEXT - len(f": {brief}{ending}"), 8)
    return f"{name[:room].rstrip()}: {brief}{ending}"
