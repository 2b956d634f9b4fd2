"""The sender as a task of the database worker, for a salon that lets one run: the same code as the command.

A worker knows no timetable, so each run puts the next one on the list before it begins; `send_reminders --by-worker`
puts the first. A worker that is killed leaves its task as running; that is seen and written down as failed here.
"""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils.timezone import now
from django_tasks import TaskResultStatus, task
from django_tasks_db.models import DBTaskResult

from fittings.reminding import send_due

EVERY = timedelta(minutes=5)
DEAD_AFTER = timedelta(minutes=30)
KEPT_FOR = timedelta(days=7)


@task()
def send_reminders_task() -> dict[str, Any]:
    """One run of the sender; the next is on the list already should this one be killed."""
    at = now()
    keep_one_waiting(at=at, run_after=at + EVERY)
    return asdict(send_due(at=at))


@transaction.atomic
def keep_one_waiting(*, at: datetime, run_after: datetime) -> bool:
    """Put a run on the list unless one waits there; True if it had to. Tidies up after earlier ones.

    Should two be put there at once, the first to run finds the other waiting and puts none: there is one again.
    """
    ours = DBTaskResult.objects.filter(task_path=send_reminders_task.module_path)
    ours.finished().filter(finished_at__lt=at - KEPT_FOR).delete()
    ours.running().filter(started_at__lt=at - DEAD_AFTER).update(status=TaskResultStatus.FAILED, finished_at=at)
    if ours.filter(status=TaskResultStatus.READY).exists():
        return False
    send_reminders_task.using(run_after=run_after).enqueue()
    return True
