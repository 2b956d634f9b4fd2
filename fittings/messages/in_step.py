"""Makes, takes up again and drops messages, so that just what is wanted waits to be sent; and whether she agrees.

What is wanted is decided in `wanted` and `of_care`; `fittings.reminding` and `of_care` fetch what it is decided from.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from django.db.models import QuerySet

from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from fittings.messages.channels import channels_in_use
from fittings.messages.wanted import FOR_NOW, NO_ADDRESS, NOT_AGREED, PENDING, TOO_LATE, Wanted, why_not_any_more
from fittings.models import Reminder

State = Reminder.State


def has_agreed(client: Client) -> bool:
    """Whether she agrees now to be sent messages."""
    return agreements().filter(client=client).exists()


def agreements() -> QuerySet[Consent]:
    return Consent.objects.live().filter(
        kind=ConsentKind.REMINDERS, client__erased_at__isnull=True, client__merged_into__isnull=True
    )


def bring_in_step(
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
            made.append(ready(new(want), want, client=client, at=at, unless=unless))
        elif row.state == State.DROPPED:
            ready(row, want, client=client, at=at, unless=unless).save()
    # rows of ours, of choices of ours: the constraints see to the rest, and let a second maker's row be the one
    Reminder.objects.bulk_create(made, ignore_conflicts=True)
    for row in kept.values():
        if row.state in PENDING or (agreed and row.state == State.DROPPED and row.trouble in FOR_NOW):
            reason = (why_not_any_more(row, at=at) or TOO_LATE) if agreed else NOT_AGREED
            drop(row, because=reason)


def ready(row: Reminder, want: Wanted, *, client: Client, at: datetime, unless: str) -> Reminder:
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
