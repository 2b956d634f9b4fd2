"""Who may send a message, and what became of it: each row passes from hand to hand, never to two senders.

A sender claims a row and that is stored before anything goes out. A sender that dies leaves a claim behind; when it has
gone stale, the channel is asked whether the message went out, and where it can't tell, a person must.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from fittings.messages.channels import Channel
from fittings.models import Reminder
from fittings.models.reminder import ReminderQuerySet

Kind, State = Reminder.Kind, Reminder.State

STALE_AFTER: Final = timedelta(minutes=15)  # far longer than a mail server is waited for
TRY_AGAIN_AFTER: Final = (timedelta(minutes=5), timedelta(minutes=30), timedelta(hours=2), timedelta(hours=12))
TOGETHER_AT_MOST: Final = 60  # appointments in one confirmation
LONGEST_TROUBLE: Final = 240

STOPPED_BEFORE: Final = "The sender stopped before it went out."
STOPPED_MAYBE: Final = "The sender stopped while it was going out."


def claim_next(*, due_at: datetime, at: datetime, run: uuid.UUID, channels: Collection[str]) -> list[Reminder]:
    """The next message that is due, claimed for this run; several rows where appointments are confirmed together.

    A row that another sender holds is passed by: PostgreSQL skips it, and on SQLite a transaction lets no other write.
    """
    with transaction.atomic():
        waiting = Reminder.objects.due(due_at).filter(channel__in=channels).order_by("next_try_at", "pk")
        first = waiting.select_for_update(skip_locked=True).first()
        if first is None:
            return []
        rows = [first]
        if first.kind == Kind.CONFIRMATION:
            same = waiting.filter(client=first.client_id, channel=first.channel, kind=first.kind).exclude(pk=first.pk)
            rows += same.select_for_update(skip_locked=True)[: TOGETHER_AT_MOST - 1]
        key = key_of(rows)
        for row in rows:
            row.state, row.run, row.claimed_at, row.message_id = State.SENDING, run, at, key
            row.attempts += 1
            row.save(update_fields=["state", "run", "claimed_at", "message_id", "attempts"])
    return rows


def key_of(rows: Sequence[Reminder]) -> str:
    """The same for the same rows, whoever sends them and how often: its file, or its Message-ID, is found by it."""
    first = min(rows, key=lambda row: row.pk)
    return uuid.uuid5(uuid.NAMESPACE_OID, f"{first.pk} {first.made_at.isoformat()} {first.about}").hex


def mark_sent(rows: Sequence[Reminder], *, run: uuid.UUID | None, at: datetime) -> None:
    """It went out. Should the claim have been taken for stale meanwhile, this is the answer to that question."""
    ours = _of(rows, run, State.SENDING, State.UNKNOWN).filter(settled_by__isnull=True)
    ours.update(state=State.SENT, sent_at=at, trouble="")


def mark_dropped(rows: Sequence[Reminder], *, run: uuid.UUID, because: str) -> None:
    _of(rows, run, State.SENDING).update(state=State.DROPPED, trouble=because)


def mark_unknown(rows: Sequence[Reminder], *, run: uuid.UUID | None, because: str) -> None:
    _of(rows, run, State.SENDING).update(state=State.UNKNOWN, trouble=because[:LONGEST_TROUBLE])


def mark_failed(rows: Sequence[Reminder], *, run: uuid.UUID | None, at: datetime, because: str) -> list[Reminder.State]:
    """Surely not sent: tried again later each time, and after the last time no more. Returns what each became."""
    became = []
    for row in rows:
        again = row.attempts <= len(TRY_AGAIN_AFTER)
        became.append(State.FAILED if again else State.GIVEN_UP)
        _of([row], run, State.SENDING).update(
            state=became[-1],
            next_try_at=at + TRY_AGAIN_AFTER[row.attempts - 1] if again else row.next_try_at,
            trouble=because[:LONGEST_TROUBLE],
        )
    return became


def look_after_stale_claims(*, at: datetime, channels: Mapping[str, Channel]) -> Counter[Reminder.State]:
    """What a sender that died left behind; how many became what."""
    stale = Reminder.objects.filter(state=State.SENDING, claimed_at__lt=at - STALE_AFTER)
    became: Counter[Reminder.State] = Counter()
    for row in stale:
        channel = channels.get(row.channel)
        went = channel.was_sent(row.message_id) if channel else None
        if went:
            mark_sent([row], run=row.run, at=row.claimed_at or at)
            became[State.SENT] += 1
        elif went is None:
            mark_unknown([row], run=row.run, because=STOPPED_MAYBE)
            became[State.UNKNOWN] += 1
        else:
            became.update(mark_failed([row], run=row.run, at=at, because=STOPPED_BEFORE))
    return became


def _of(rows: Sequence[Reminder], run: uuid.UUID | None, *states: Reminder.State) -> ReminderQuerySet:
    return Reminder.objects.filter(pk__in=[row.pk for row in rows], run=run, state__in=states)
