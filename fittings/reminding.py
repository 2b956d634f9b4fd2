"""Keeps the messages in step with what they tell of: makes those that are wanted, drops those that no longer are.

Which are wanted is decided in `fittings.messages.wanted`. A row is never deleted: one that is not wanted is dropped
with the reason, and taken up again should it be wanted after all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from clients.models import Client, Consent, SkinTest
from clients.models.consent import ConsentKind
from fittings.messages.channels import channels_in_use
from fittings.messages.wanted import (
    FOR_NOW,
    NO_ADDRESS,
    NOT_AGREED,
    PENDING,
    SAID_ALREADY,
    TOO_LATE,
    Wanted,
    wanted_of,
    wanted_of_test,
    why_not_any_more,
)
from fittings.models import Appointment, Reminder
from salon.models import Salon

State = Reminder.State
ONE_VISIT = timedelta(hours=12)  # tests put on within it are read together, and she is asked back once


@transaction.atomic
def tell_of(*, appointment: Appointment, at: datetime) -> None:
    """Bring the messages about an appointment in step with its present state; calling it again changes nothing.

    Every deed that changes an appointment calls this in its own transaction, after it has saved; so does the sender,
    for what was booked before she agreed to messages. Nothing is sent here.
    """
    # held until the transaction ends, so that two callers come one after the other
    appointment = Appointment.objects.select_for_update(of=("self",)).select_related("client").get(pk=appointment.pk)
    rows = list(Reminder.objects.filter(appointment=appointment).select_related("skin_test"))
    for row in rows:
        row.appointment = appointment
    agreed = has_agreed(appointment.client)
    zone = ZoneInfo(Salon.objects.default().time_zone)
    wanted = wanted_of(appointment, rows, at=at, zone=zone) if agreed else []
    _bring_in_step(
        rows,
        wanted,
        client=appointment.client,
        at=at,
        agreed=agreed,
        new=lambda want: Reminder(appointment=appointment, kind=want.kind, about=want.about, made_at=at),
    )


@transaction.atomic
def tell_of_test(*, skin_test: SkinTest, at: datetime) -> None:
    """The same for a test that is to be read; tests of one visit are read together, and one message asks her back."""
    client = Client.objects.select_for_update().get(pk=skin_test.client_id)  # two tests of hers come one by one
    skin_test = SkinTest.objects.get(pk=skin_test.pk)
    rows = list(Reminder.objects.filter(skin_test=skin_test))
    for row in rows:
        row.skin_test = skin_test
    agreed = has_agreed(client)
    wanted = wanted_of_test(skin_test, at=at) if agreed else []
    said_already = any(
        Reminder.objects.filter(
            client=client,
            skin_test__isnull=False,
            due_at__gt=want.due_at - ONE_VISIT,
            due_at__lt=want.due_at + ONE_VISIT,
        )
        .exclude(skin_test=skin_test)
        .exclude(state=State.DROPPED)
        .exists()
        for want in wanted
    )
    _bring_in_step(
        rows,
        wanted,
        client=client,
        at=at,
        agreed=agreed,
        new=lambda want: Reminder(skin_test=skin_test, kind=want.kind, about=want.about, made_at=at),
        unless=SAID_ALREADY if said_already else "",
    )


def has_agreed(client: Client) -> bool:
    """Whether she agrees now to be sent messages."""
    return Consent.objects.live().filter(client=client, kind=ConsentKind.REMINDERS).exists()


def _bring_in_step(
    rows: Sequence[Reminder],
    wanted: Sequence[Wanted],
    *,
    client: Client,
    at: datetime,
    agreed: bool,
    new: Callable[[Wanted], Reminder],
    unless: str = "",
) -> None:
    """Make, take up again and drop, so that just what is wanted waits to be sent. `unless`: why nothing new may."""
    kept = {(row.kind, row.about): row for row in rows}
    made = []
    for want in wanted:
        row = kept.pop((want.kind, want.about), None)
        if row is None:
            made.append(_ready(new(want), want, client=client, at=at, unless=unless))
        elif row.state == State.DROPPED:
            _ready(row, want, client=client, at=at, unless=unless).save()
    # rows of ours, of choices of ours: the constraints see to the rest, and let a second maker's row be the one
    Reminder.objects.bulk_create(made, ignore_conflicts=True)
    for row in kept.values():
        if row.state in PENDING or (agreed and row.state == State.DROPPED and row.trouble in FOR_NOW):
            reason = (why_not_any_more(row, at=at) or TOO_LATE) if agreed else NOT_AGREED
            drop(row, because=reason)


def _ready(row: Reminder, want: Wanted, *, client: Client, at: datetime, unless: str) -> Reminder:
    """Due by the first channel that reaches her; or dropped at once, with why."""
    channels = channels_in_use()
    reaching = [channel.name for channel in channels if channel.reaches(client)]
    row.client, row.due_at, row.next_try_at = client, want.due_at, want.due_at
    row.channel = (reaching or [channel.name for channel in channels])[0]
    row.trouble = unless or ("" if reaching else NO_ADDRESS)
    row.state = State.DROPPED if row.trouble else State.DUE
    row.attempts = 0
    return row


def drop(row: Reminder, *, because: str) -> bool:
    """Let a message that waits not go out; False when a sender was quicker."""
    waiting = Reminder.objects.filter(pk=row.pk, state__in=(*PENDING, State.DROPPED))
    return bool(waiting.update(state=State.DROPPED, trouble=because))
