"""Sends the messages that are due: from cron every few minutes, `send_reminders`; or hands that to the worker."""

from __future__ import annotations

import signal
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils.timezone import now

from fittings.messages.tasks import keep_one_waiting
from fittings.models import Reminder
from fittings.reminding import SendReport, send_due, tell_the_untold


class Command(BaseCommand):
    help = (
        "Send the messages to clients that are due. Safe to run twice at once; stops after the message it is at when "
        "interrupted. Ends with 1 when a message could not be sent or must be settled by a person."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="say what would be sent, and send and store nothing")
        parser.add_argument(
            "--by-worker",
            action="store_true",
            help="send nothing, but let `manage.py db_worker` do it every five minutes from now on",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["dry_run"]:
            self._say_what_is_due()
        elif options["by_worker"]:
            at = now()
            put = keep_one_waiting(at=at, run_after=at)
            self.stdout.write("The worker sends from now on." if put else "The worker has a run waiting already.")
        else:
            self._send()

    def _send(self) -> None:
        report = send_due(at=now(), stop=_interrupted())
        self.stdout.write(_sentence(report))
        if report.failed or report.given_up or report.unknown:
            raise CommandError("Some did not go out, or may not have: see Messages, under Today.")

    def _say_what_is_due(self) -> None:
        at = now()
        with transaction.atomic():
            told = tell_the_untold(at=at)
            due = list(Reminder.objects.due(at).select_related("client").order_by("next_try_at", "pk"))
            transaction.set_rollback(True)
        for row in due:
            self.stdout.write(f"{row.get_kind_display()} to {row.client.reference} by {row.channel}")
        anew = f"{told} {'appointment or test' if told == 1 else 'appointments or tests'} would be looked at anew"
        self.stdout.write(f"{len(due)} would be tried now; {anew}.")


def _interrupted() -> Any:
    """A question that is answered with yes once somebody pressed Ctrl-C or asked the program to end."""
    asked: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        asked.append(number)

    for wanted in (signal.SIGINT, signal.SIGTERM):
        signal.signal(wanted, note)
    return lambda: bool(asked)


def _sentence(report: SendReport) -> str:
    counts = {
        "sent": report.sent,
        "to be tried again": report.failed,
        "given up": report.given_up,
        "to be settled": report.unknown,
        "no longer wanted": report.dropped,
        "pieces whose dates follow a changed figure": report.worked_out,
    }
    said = ", ".join(f"{count} {what}" for what, count in counts.items() if count or what == "sent")
    return f"{said}.{' Stopped before the rest.' if report.stopped else ''}"
