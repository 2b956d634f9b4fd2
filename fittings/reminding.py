"""Keeps the messages in step with what they tell of, sends those that are due, and lets a person settle the rest.

Which are wanted is decided in `fittings.messages.wanted`, and of care in `of_care`; who may send one in `claiming`,
what it says in `wording`, and how it goes in `channels`. A row is never deleted: one that is not wanted is dropped with
the reason, and taken up again should it be wanted after all. `send_due` is the one sender, whoever runs it; it also
brings care dates in step with figures that changed, for it runs of itself.
"""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from time import monotonic
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from clients.consenting import withdraw_by_link
from clients.models import Client, SkinTest
from fittings.care_afresh import work_out_afresh
from fittings.messages.channels import Channel, NotSentError, PerhapsSentError, channels_in_use
from fittings.messages.claiming import (
    claim_next,
    look_after_stale_claims,
    mark_dropped,
    mark_failed,
    mark_sent,
    mark_unknown,
)
from fittings.messages.in_step import agreements, bring_in_step, has_agreed
from fittings.messages.of_care import tell_of_care, untold_care
from fittings.messages.wanted import (
    LONGEST_UNREAD,
    NO_ADDRESS,
    NOT_AGREED,
    PENDING,
    SAID_ALREADY,
    wanted_of,
    wanted_of_test,
    why_not_any_more,
)
from fittings.messages.wording import message_of
from fittings.models import Appointment, Reminder
from salon.models import Salon, User

logger = logging.getLogger(__name__)
State = Reminder.State
Told = TypeVar("Told", Appointment, SkinTest)
LOOK_AHEAD = timedelta(days=92)  # what was booked further ahead before she agreed is told of when it comes nearer
LOOK_AT_MOST = 2_000  # rows in one look; what is left over is found by the next
SEND_AT_MOST = 500  # messages in one run; the next goes on
SETTLED_NOT_SENT = "It had not gone out: settled by hand."
ONE_VISIT = timedelta(hours=12)  # tests put on within it are read together, and she is asked back once


@transaction.atomic
def tell_of(*, appointment: Appointment, at: datetime) -> None:
    """Bring the messages about an appointment in step with its present state; calling it again changes nothing.

    Every deed that changes an appointment calls this in its own transaction, after it has saved; so does the sender,
    for what was booked before she agreed to messages. Nothing is sent here.
    """
    # held until the transaction ends, so that two callers come one after the other
    appointment = Appointment.objects.select_for_update().get(pk=appointment.pk)
    rows = list(Reminder.objects.filter(appointment=appointment).select_related("skin_test"))
    for row in rows:
        row.appointment = appointment
    agreed = has_agreed(appointment.client)
    zone = ZoneInfo(Salon.objects.default().time_zone)
    wanted = wanted_of(appointment, rows, at=at, zone=zone) if agreed else []
    bring_in_step(
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
    # two tests of hers come one by one
    client = Client.objects.select_for_update(no_key=True).get(pk=skin_test.client_id)
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
    bring_in_step(
        rows,
        wanted,
        client=client,
        at=at,
        agreed=agreed,
        new=lambda want: Reminder(skin_test=skin_test, kind=want.kind, about=want.about, made_at=at),
        unless=SAID_ALREADY if said_already else "",
    )


def tell_the_untold(*, at: datetime) -> int:
    """Tell of what was booked or put on before she agreed or gave an address, and of care that falls due; of how many.

    The deeds of `clients` know nothing of messages, so this looks for what they changed.
    """
    coming = Appointment.objects.filter(
        state=Appointment.State.BOOKED, starts_at__gt=at, starts_at__lt=at + LOOK_AHEAD
    ).order_by("starts_at", "pk")
    to_be_read = SkinTest.objects.standing().filter(read_at__isnull=True, applied_at__gt=at - LONGEST_UNREAD)
    appointments, tests = _untold(coming, "appointment"), _untold(to_be_read.order_by("applied_at", "pk"), "skin_test")
    for appointment in appointments:
        tell_of(appointment=appointment, at=at)
    for skin_test in tests:
        tell_of_test(skin_test=skin_test, at=at)
    care_dates = untold_care(at=at, at_most=LOOK_AT_MOST)
    for care_date in care_dates:
        tell_of_care(care_date=care_date, at=at)
    return len(appointments) + len(tests) + len(care_dates)


def _untold(rows: QuerySet[Told], about: str) -> list[Told]:
    """Of those whose client agrees: the ones without a message, and those with one dropped for what has passed."""
    hers = Reminder.objects.filter(**{about: OuterRef("pk")}, state=State.DROPPED)
    found = (
        rows.filter(Exists(agreements().filter(client=OuterRef("client"))))
        .annotate(
            has_none=~Exists(Reminder.objects.filter(**{about: OuterRef("pk")})),
            had_not_agreed=Exists(hers.filter(trouble=NOT_AGREED)),
            had_no_address=Exists(hers.filter(trouble=NO_ADDRESS)),
        )
        .filter(Q(has_none=True) | Q(had_not_agreed=True) | Q(had_no_address=True))
        .select_related("client")[:LOOK_AT_MOST]
    )
    channels = channels_in_use()
    return [
        row
        for row in found
        if row.has_none or row.had_not_agreed or any(channel.reaches(row.client) for channel in channels)
    ]


@dataclass
class SendReport:
    """What one run of the sender did."""

    worked_out: int = 0
    told: int = 0
    sent: int = 0
    failed: int = 0
    given_up: int = 0
    unknown: int = 0
    dropped: int = 0
    stopped: bool = False

    def note(self, state: str, count: int = 1) -> None:
        name = State(state).name.lower()
        setattr(self, name, getattr(self, name) + count)


def send_due(
    *,
    at: datetime,
    run: uuid.UUID | None = None,
    channels: Sequence[Channel] | None = None,
    at_most: int = SEND_AT_MOST,
    stop: Callable[[], bool] = lambda: False,
) -> SendReport:
    """Bring care dates in step with changed figures, tell the untold, look after what a dead sender left, and send what
    is due, one message after the other.

    Safe to run twice at once: a row is claimed, and the claim stored, before anything goes out. `stop` is asked before
    each message; `at` is when the run begins.
    """
    run, report, begun = run or uuid.uuid4(), SendReport(), monotonic()
    by_name = {channel.name: channel for channel in (channels_in_use() if channels is None else channels)}
    report.worked_out = work_out_afresh(at=at, stop=stop)
    report.told = tell_the_untold(at=at)
    for state, count in look_after_stale_claims(at=at, channels=by_name).items():
        report.note(state, count)
    salon = Salon.objects.default()
    for _ in range(at_most):
        if stop():
            report.stopped = True
            break
        moment = at + timedelta(seconds=monotonic() - begun)  # a claim must not look older than it is
        rows = claim_next(due_at=at, at=moment, run=run, channels=by_name)
        if not rows:
            break
        _send(rows, run=run, at=moment, channel=by_name[rows[0].channel], salon=salon, report=report)
    return report


def _send(
    rows: Sequence[Reminder], *, run: uuid.UUID, at: datetime, channel: Channel, salon: Salon, report: SendReport
) -> None:
    """Ask once more whether it is wanted, send it, and write down what became of it."""
    fresh = Reminder.objects.filter(pk__in=[row.pk for row in rows], run=run, state=State.SENDING).order_by("pk")
    rows = list(fresh.select_related("client", "appointment__client", "skin_test", "owned_piece"))
    client = rows[0].client
    hindered = "" if has_agreed(client) else NOT_AGREED
    hindered = hindered or ("" if channel.reaches(client) else NO_ADDRESS)
    going = []
    for row in rows:
        if because := why_not_any_more(row, at=at) or hindered:
            mark_dropped([row], run=run, because=because)
            report.note(State.DROPPED)
        else:
            going.append(row)
    if not going:
        return
    try:
        message = message_of(going, salon=salon, at=at)
    except Exception as fault:
        logger.exception("Message %s can't be put together", going[0].pk)
        mark_failed(going, run=run, at=at, because=f"It can't be put together ({type(fault).__name__}).")
        report.note(State.FAILED, len(going))
        return
    try:
        channel.send(message)
    except NotSentError as refusal:
        states = mark_failed(going, run=run, at=at, because=str(refusal))
        for state in states:
            report.note(state)
    except PerhapsSentError as broken:
        mark_unknown(going, run=run, because=str(broken))
        report.note(State.UNKNOWN, len(going))
    except (
        Exception
    ) as fault:  # a channel's own fault: nothing is known of how far it came, and an address may be in it
        logger.error("Message %s: %s sent it and broke off with %s", going[0].pk, channel.name, type(fault).__name__)
        mark_unknown(going, run=run, because=f"Sending broke off ({type(fault).__name__}).")
        report.note(State.UNKNOWN, len(going))
    else:
        mark_sent(going, run=run, at=at)
        report.note(State.SENT, len(going))


@transaction.atomic
def settle(*, reminder: Reminder, was_sent: bool, by: User, at: datetime) -> Reminder:
    """Write down what a person found out about a message that may have been sent."""
    row = Reminder.objects.select_for_update().get(pk=reminder.pk)
    if row.state != State.UNKNOWN:
        raise ValidationError(f"This message is settled already: {row.get_state_display().lower()}.")
    row.settled_by = by
    if was_sent:
        row.state, row.sent_at, row.trouble = State.SENT, row.claimed_at or at, ""
    else:
        row.state, row.trouble = State.GIVEN_UP, SETTLED_NOT_SENT
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def try_again(*, reminder: Reminder, by: User, at: datetime) -> Reminder:
    """Let a message that failed, or may have failed, go out with the next run; refused where it is of no use."""
    row = (
        Reminder.objects.select_for_update(of=("self",))
        .select_related("client", "appointment", "skin_test", "owned_piece")
        .get(pk=reminder.pk)
    )
    if row.state not in (State.UNKNOWN, State.FAILED, State.GIVEN_UP):
        raise ValidationError(f"This message is {row.get_state_display().lower()}; there is nothing to try again.")
    reaching = [channel.name for channel in channels_in_use() if channel.reaches(row.client)]
    because = why_not_any_more(row, at=at) or ("" if has_agreed(row.client) else NOT_AGREED)
    if because := because or ("" if reaching else NO_ADDRESS):
        raise ValidationError(f"It can't go out: {because[0].lower()}{because[1:]}")
    row.state, row.next_try_at, row.attempts, row.trouble, row.settled_by = State.DUE, at, 0, "", by
    row.channel = row.channel if row.channel in reaching else reaching[0]
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def stop_telling(*, client: Client, at: datetime) -> None:
    """She wants no more messages, and says so by the link of one; saying it twice changes nothing."""
    for consent in agreements().filter(client=client):
        withdraw_by_link(consent=consent, at=at)
    Reminder.objects.filter(client=client, state__in=PENDING).update(state=State.DROPPED, trouble=NOT_AGREED)
