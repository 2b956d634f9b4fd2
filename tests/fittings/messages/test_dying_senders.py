"""Real processes: senders that are killed halfway, and several at once. Each message goes out once."""

import json
import os
import subprocess
import sys
from datetime import timedelta
from urllib.parse import quote

import pytest
from django.db import connection
from django.utils.timezone import now

from fittings.messages.channels import EmailChannel, TextMessageToFile
from fittings.models import Reminder
from fittings.reminding import send_due
from tests.fittings.messages.factories import ReminderFactory

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow]

LATER = timedelta(minutes=30)
SENDER = """
import json, os, signal, sys
import django
django.setup()
from django.conf import settings
from django.utils.timezone import now
from fittings.messages import channels
from fittings.reminding import send_due

channel, folder, dies = sys.argv[1:]
settings.TEXT_MESSAGE_FOLDER = settings.EMAIL_FILE_PATH = folder
settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"

class Dying(channels.CHANNELS[channel]):
    def send(self, message):
        if dies == "before":
            os.kill(os.getpid(), signal.SIGKILL)
        super().send(message)
        if dies == "after":
            os.kill(os.getpid(), signal.SIGKILL)

print(json.dumps(send_due(at=now(), channels=[Dying()]).sent))
"""


def database_address():
    """The tests' own database, for another process."""
    said = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{said['NAME']}"
    who = ":".join(quote(said[part]) for part in ("USER", "PASSWORD") if said[part])
    where = ":".join(quote(str(said[part]), safe="") for part in ("HOST", "PORT") if said[part])
    return f"postgres://{who}@{where}/{quote(said['NAME'])}"


def started(channel, folder, dies="never"):
    return subprocess.Popen(
        [sys.executable, "-c", SENDER, channel, str(folder), dies],
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "salon.settings", "DATABASE_URL": database_address()},
        stdout=subprocess.PIPE,
        text=True,
    )


def killed_while_sending(channel, folder, dies):
    sender = started(channel, folder, dies)
    sender.communicate(timeout=120)
    assert sender.returncode == -9


@pytest.fixture
def folder(settings, tmp_path):
    settings.TEXT_MESSAGE_FOLDER = settings.EMAIL_FILE_PATH = tmp_path / "out"
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    return tmp_path / "out"


@pytest.mark.parametrize(("dies", "files"), [("before", 0), ("after", 1)])
def test_a_text_message_whose_sender_is_killed_goes_out_once(folder, dies, files):
    row = ReminderFactory(channel="text-file")
    killed_while_sending("text-file", folder, dies)
    row.refresh_from_db()
    assert (row.state, row.attempts) == ("sending", 1), "the claim was stored before anything went out"
    assert len(list(folder.glob("*"))) == files
    for run in range(4):
        send_due(at=now() + LATER * (run + 1), channels=[TextMessageToFile()])
    row.refresh_from_db()
    assert row.state == "sent"
    assert [file.name for file in folder.iterdir()] == [f"{row.message_id}.txt"]


@pytest.mark.parametrize(("dies", "files"), [("before", 0), ("after", 1)])
def test_an_e_mail_whose_sender_is_killed_waits_for_a_person(folder, dies, files):
    row = ReminderFactory()
    killed_while_sending("email", folder, dies)
    for run in range(4):
        send_due(at=now() + LATER * (run + 1), channels=[EmailChannel()])
    row.refresh_from_db()
    assert row.state == "unknown"
    assert len(list(folder.glob("*"))) == files


def test_three_senders_at_once_send_each_message_once(folder):
    rows = [ReminderFactory(channel="email") for _ in range(24)]
    senders = [started("email", folder) for _ in range(3)]
    counts = [json.loads(sender.communicate(timeout=240)[0]) for sender in senders]
    assert sum(counts) == len(rows)
    sent = [file.read_text() for file in folder.iterdir()]
    assert len(sent) <= len(rows)  # Django's file backend puts what one process sends in the same second into one file
    assert sum(text.count("Message-ID:") for text in sent) == len(rows)
    assert set(Reminder.objects.filter(pk__in=[row.pk for row in rows]).values_list("state", flat=True)) == {"sent"}
