"""Which care dates a client is sent a message about, and when: a check-up, new tape, and the next one to be ordered.

Washes are left to her and to the desk's list: a message every other week would be read by nobody. The message says
that it is time for her next visit and no word of what for. Each date is told of once; one that moved is another date.
None goes out the day a date was worked out, for then she was just here, nor to somebody who comes anyway.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import CharField, Exists, OuterRef, Q, Value
from django.db.models.functions import Cast, Concat

from clients.models import Client
from fittings.hours_kept import salon_zone
from fittings.messages.channels import channels_in_use
from fittings.messages.in_step import agreements, bring_in_step, has_agreed
from fittings.messages.wanted import CARE_UNTIL, FOR_NOW, SAID_ALREADY, Wanted, care_told_as
from fittings.models import Appointment, CareDate, HouseRule, Reminder

State = Reminder.State
KINDS: Final = (CareDate.Kind.CHECK, CareDate.Kind.TAPE, CareDate.Kind.ORDER)
BY_DAY: Final = (time(9), time(20))  # by the salon's clock: nobody is woken
SAID_WITHIN: Final = timedelta(days=4)  # two dates so near each other are one visit, and one message


def untold_care(*, at: datetime, at_most: int) -> list[CareDate]:
    """Dates that have come near enough to be told of and that no message tells of, of clients who agree to messages."""
    today = at.astimezone(salon_zone()).date()
    before = timedelta(days=round(HouseRule.objects.current()["care_message_days"]))
    tells = Reminder.objects.filter(
        owned_piece=OuterRef("owned_piece"), kind=Reminder.Kind.CARE, about=OuterRef("told_as")
    )
    comes = Appointment.objects.filter(
        client=OuterRef("owned_piece__client"), state=Appointment.State.BOOKED, starts_at__gt=at
    )
    dates = CareDate.objects.due_by(today + before).filter(
        kind__in=KINDS, due_on__gte=today - CARE_UNTIL, worked_out_on__lt=today, owned_piece__until__isnull=True
    )
    found = (
        dates.annotate(told_as=Concat(Cast("due_on", CharField()), Value(" "), "kind"))
        .annotate(has_one=Exists(tells), hindered=Exists(tells.filter(state=State.DROPPED, trouble__in=FOR_NOW)))
        .filter(Q(has_one=False) | Q(hindered=True))
        .filter(Exists(agreements().filter(client=OuterRef("owned_piece__client"))), ~Exists(comes))
        .select_related("owned_piece__client")[:at_most]
    )
    channels = channels_in_use()
    return [
        row
        for row in found
        if not row.hindered  # type: ignore[attr-defined]  # annotated above
        or any(channel.reaches(row.owned_piece.client) for channel in channels)
    ]


@transaction.atomic
def tell_of_care(*, care_date: CareDate, at: datetime) -> None:
    """Make the message about a date, or take up again one that could not go out; nothing is sent here."""
    owned = care_date.owned_piece
    client = Client.objects.select_for_update(no_key=True).get(pk=owned.client_id)  # two dates of hers come one by one
    rows = list(Reminder.objects.filter(owned_piece=owned, kind=Reminder.Kind.CARE, about=care_told_as(care_date)))
    for row in rows:
        row.owned_piece = owned
    agreed, due_at = has_agreed(client), _by_day(at, salon_zone())
    others = Reminder.objects.filter(
        client=client, kind=Reminder.Kind.CARE, due_at__gt=due_at - SAID_WITHIN, due_at__lt=due_at + SAID_WITHIN
    )
    said_already = others.exclude(pk__in=[row.pk for row in rows]).exclude(state=State.DROPPED).exists()
    bring_in_step(
        rows,
        [Wanted(Reminder.Kind.CARE, care_told_as(care_date), due_at)] if agreed else [],
        client=client,
        at=at,
        agreed=agreed,
        new=lambda want: Reminder(owned_piece=owned, kind=want.kind, about=want.about, made_at=at),
        unless=SAID_ALREADY if said_already else "",
    )


def _by_day(at: datetime, zone: ZoneInfo) -> datetime:
    """Now, or in the morning when it is night by the salon's clock."""
    here, (morning, evening) = at.astimezone(zone), BY_DAY
    if morning <= here.time() < evening:
        return at
    day = here.date() if here.time() < morning else here.date() + timedelta(days=1)
    return datetime.combine(day, morning, zone)
