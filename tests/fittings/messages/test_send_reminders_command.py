"""`manage.py send_reminders`, by hand and by the database worker: what it sends, says and ends with."""

import os
import signal
import subprocess
import sys
from datetime import timedelta
from io import StringIO

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.utils.timezone import now
from django_tasks_db.models import DBTaskResult

from fittings.messages.tasks import send_reminders_task
from fittings.models import Reminder
from tests.fittings.factories import AppointmentFactory
from tests.fittings.messages.factories import AgreeingClientFactory, ReminderFactory


@pytest.fixture(autouse=True)
def signals_as_before():
    """The command listens for Ctrl-C; the tests are to hear it themselves afterwards."""
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


def said(*options):
    out = StringIO()
    call_command("send_reminders", *options, stdout=out)
    return out.getvalue().strip()


@pytest.mark.django_db
def test_it_sends_what_is_due_and_says_so():
    ReminderFactory()
    assert said() == "1 sent."
    assert len(mail.outbox) == 1
    assert said() == "0 sent."


@pytest.mark.django_db
def test_it_ends_with_an_error_when_one_did_not_go_out(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1  # nobody listens there
    ReminderFactory()
    with pytest.raises(CommandError, match="see Messages"):
        said()
    assert Reminder.objects.get().state == "failed"


@pytest.mark.django_db
def test_a_dry_run_says_what_would_go_out_and_keeps_nothing():
    AppointmentFactory(client=AgreeingClientFactory(), starts_at=now() + timedelta(days=9))
    due = ReminderFactory()
    told = said("--dry-run")
    assert f"Confirmation to {due.client.reference} by email" in told
    assert told.endswith("2 would be tried now; 1 appointment or test would be looked at anew.")
    assert (Reminder.objects.count(), Reminder.objects.get().state, mail.outbox) == (1, "due", [])


@pytest.mark.django_db
def test_by_worker_puts_one_run_on_the_list():
    assert said("--by-worker") == "The worker sends from now on."
    assert said("--by-worker") == "The worker has a run waiting already."
    assert DBTaskResult.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_worker_sends_and_has_its_next_run_waiting():
    ReminderFactory()
    said("--by-worker")
    call_command("db_worker", batch=True, startup_delay=False, interval=0)
    done, waiting = DBTaskResult.objects.order_by("enqueued_at")
    assert (done.status, done.return_value["sent"]) == ("SUCCESSFUL", 1)
    assert waiting.status == "READY"
    assert timedelta(minutes=4) < waiting.run_after - now() < timedelta(minutes=6)


@pytest.mark.django_db
def test_a_run_whose_worker_was_killed_is_written_down_and_another_put_in_its_place():
    said("--by-worker")
    DBTaskResult.objects.update(status="RUNNING", started_at=now() - timedelta(minutes=31))
    assert said("--by-worker") == "The worker sends from now on."
    assert sorted(DBTaskResult.objects.values_list("status", flat=True)) == ["FAILED", "READY"]


@pytest.mark.django_db
def test_runs_of_last_week_are_forgotten():
    said("--by-worker")
    DBTaskResult.objects.update(status="SUCCESSFUL", finished_at=now() - timedelta(days=8))
    send_reminders_task.call()
    assert DBTaskResult.objects.get().status == "READY"


@pytest.mark.slow
def test_ctrl_c_lets_it_finish_the_message_it_is_at(tmp_path):
    program = """
import os, signal, sys
import django
django.setup()
from django.core.management import call_command
from fittings import reminding
from fittings.management.commands import send_reminders
def sending(*, at, stop):
    os.kill(os.getpid(), signal.SIGINT)
    return reminding.SendReport(sent=1, stopped=stop())
send_reminders.send_due = sending
call_command("send_reminders")
"""
    environment = {"DJANGO_SETTINGS_MODULE": "salon.settings", "DATABASE_URL": f"sqlite:///{tmp_path}/none.sqlite3"}
    ended = subprocess.run(
        [sys.executable, "-c", program], env=os.environ | environment, capture_output=True, text=True
    )
    assert (ended.returncode, ended.stdout) == (0, "1 sent. Stopped before the rest.\n")
