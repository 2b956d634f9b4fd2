"""The sender: what goes out, what is asked once more before it does, and what becomes of what fails."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError

from clients.consenting import withdraw_consent
from clients.models import Consent
from fittings.messages import wanted as why
from fittings.messages.channels import Channel, NotSentError, PerhapsSentError
from fittings.models import Reminder
from fittings.reminding import send_due, settle, stop_telling, tell_of, try_again
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, SkinTestFactory
from tests.fittings.factories import AppointmentFactory
from tests.fittings.messages.factories import AgreeingClientFactory, ReminderFactory

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
THURSDAY = datetime(2026, 3, 5, 10, 30, tzinfo=UTC)
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


@dataclass
class Tried(Channel):
    """Does what the test says, and keeps what it was handed."""

    does: object = None
    knows: object = None
    name = "email"
    handed: list = field(default_factory=list)

    def reaches(self, client):
        return bool(client.email)

    def send(self, message):
        self.handed.append(message)
        if self.does:
            raise self.does

    def was_sent(self, key):
        return self.knows


@pytest.fixture
def her():
    client = ClientFactory(email="ada@ashdown.example", record_consent=True)
    ConsentFactory(client=client, kind="reminders", at=NOW - timedelta(days=30))
    return client


@pytest.fixture
def booked(her):
    """An appointment on Thursday, and its three messages."""
    appointment = AppointmentFactory(client=her, starts_at=THURSDAY)
    tell_of(appointment=appointment, at=NOW)
    return appointment


def states():
    return dict(Reminder.objects.values_list("kind", "state"))


def the(kind):
    return Reminder.objects.get(kind=kind)


def test_each_goes_out_once_when_it_is_due(booked):
    for at in (NOW, NOW + MINUTE, THURSDAY - timedelta(days=2), THURSDAY - 2 * HOUR, THURSDAY):
        send_due(at=at)
        send_due(at=at)
    assert [sent.subject for sent in mail.outbox] == [
        "Your appointment on Thursday 5 March at 10:30",
        "A reminder: your appointment on Thursday 5 March at 10:30",
        "A reminder: your appointment on Thursday 5 March at 10:30",
    ]
    assert set(states().values()) == {"sent"}
    assert len({sent.extra_headers["Message-ID"] for sent in mail.outbox}) == 3


def test_what_was_booked_before_she_agreed_is_told_by_the_next_run():
    client = ClientFactory(email="ada@ashdown.example")
    AppointmentFactory(client=client, starts_at=THURSDAY)
    assert send_due(at=NOW).told == 0
    ConsentFactory(client=client, kind="reminders", at=NOW)
    assert (send_due(at=NOW + MINUTE).sent, send_due(at=NOW + 2 * MINUTE).told) == (1, 0)


def test_an_address_given_later_takes_up_what_was_dropped_for_want_of_it(her, booked):
    her.email = ""
    her.save()
    assert send_due(at=NOW, channels=[Tried()]).dropped == 1
    assert the("confirmation").trouble == why.NO_ADDRESS
    assert send_due(at=NOW + MINUTE, channels=[Tried()]).told == 0
    her.email = "ada@weir.example"
    her.save()
    report = send_due(at=NOW + 2 * MINUTE)
    assert (report.told, report.sent) == (1, 1)
    assert mail.outbox[0].to == ["ada@weir.example"]


def test_consent_is_asked_again_at_the_moment_of_sending(booked):
    withdraw_consent(consent=Consent.objects.get(kind="reminders"), by=DeskFactory(), at=NOW)
    assert send_due(at=NOW + MINUTE).dropped == 1
    assert mail.outbox == []
    assert the("confirmation").trouble == why.NOT_AGREED


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"state": "cancelled"}, why.CANCELLED),
        ({"state": "arrived"}, why.CAME),
        ({"starts_at": THURSDAY - HOUR}, why.MOVED),
    ],
)
def test_what_is_no_longer_so_is_not_sent_even_if_nobody_told_the_messages(booked, change, reason):
    for name, value in change.items():
        setattr(booked, name, value)
    booked.save()
    send_due(at=NOW)
    assert mail.outbox == []
    assert the("confirmation").trouble == reason


def test_nothing_is_sent_once_the_appointment_has_begun(booked):
    send_due(at=THURSDAY)
    assert mail.outbox == []
    assert set(states().values()) == {"dropped"}


def test_a_late_message_of_two_days_before_gives_way_to_that_of_the_day(booked):
    send_due(at=THURSDAY - HOUR)
    assert states() == {"confirmation": "sent", "two days": "dropped", "same day": "sent"}


def test_appointments_booked_together_go_in_one_message(her):
    for week in range(3):
        tell_of(appointment=AppointmentFactory(client=her, starts_at=THURSDAY + timedelta(weeks=week)), at=NOW)
    report = send_due(at=NOW)
    (sent,) = mail.outbox
    assert report.sent == 3
    assert all(day in sent.body for day in ("Thursday 5 March", "Thursday 12 March", "Thursday 19 March"))
    assert len(sent.attachments) == 3


def test_she_is_asked_back_and_not_once_she_has_been(her):
    SkinTestFactory(client=her, at=NOW)
    waiting = SkinTestFactory(client=her, at=NOW + timedelta(days=20))
    assert send_due(at=NOW + timedelta(hours=49)).sent == 1
    assert mail.outbox[0].subject == "Time to come back, as agreed"
    send_due(at=NOW + timedelta(days=21))
    waiting.read_at, waiting.read_by, waiting.reacted = NOW + timedelta(days=22), waiting.applied_by, False
    waiting.save()
    assert send_due(at=NOW + timedelta(days=22, hours=1)).dropped == 1
    assert len(mail.outbox) == 1


# Failing


def test_a_failure_is_tried_again_later_and_later_and_then_given_up(her):
    tell_of(appointment=AppointmentFactory(client=her, starts_at=THURSDAY + timedelta(days=30)), at=NOW)
    refusing, at, waits = Tried(NotSentError("The mail server refused it (451).")), NOW, []
    while Reminder.objects.due(at).exists():
        send_due(at=at, channels=[refusing])
        row = the("confirmation")
        if row.state == "failed":
            waits.append(round((row.next_try_at - at) / MINUTE))
            at = row.next_try_at
    assert waits == [5, 30, 120, 720]
    assert (row.state, row.attempts, row.trouble) == ("given up", 5, "The mail server refused it (451).")
    assert len({message.key for message in refusing.handed}) == 1


def test_one_that_fails_holds_up_no_other(booked):
    other = ReminderFactory(
        appointment__starts_at=THURSDAY, appointment__client=AgreeingClientFactory(email="bea@weir.example"), due_at=NOW
    )

    class RefusesOne(Tried):
        def send(self, message):
            if message.client != other.client:
                raise NotSentError("Refused.")

    report = send_due(at=NOW, channels=[RefusesOne()])
    assert (report.failed, report.sent) == (1, 1)


@pytest.mark.parametrize("broken", [PerhapsSentError("It broke off."), RuntimeError("ada@ashdown.example")])
def test_what_may_have_been_sent_is_never_sent_again_by_itself(booked, broken, caplog):
    channel = Tried(broken)
    assert send_due(at=NOW, channels=[channel]).unknown == 1
    assert send_due(at=NOW + HOUR, channels=[channel]).sent == 0
    assert len(channel.handed) == 1
    assert the("confirmation").state == "unknown"
    assert "ada@" not in the("confirmation").trouble + caplog.text


def test_a_fault_in_the_wording_is_a_failure_of_that_message(booked, monkeypatch):
    monkeypatch.setattr("fittings.reminding.message_of", lambda *_, **__: 1 / 0)
    assert send_due(at=NOW, channels=[Tried()]).failed == 1
    assert the("confirmation").trouble == "It can't be put together (ZeroDivisionError)."


@pytest.mark.parametrize(("knows", "state"), [(True, "sent"), (None, "unknown"), (False, "failed")])
def test_a_stale_claim_is_settled_by_the_channel_if_it_can_tell(booked, knows, state):
    Reminder.objects.filter(kind="confirmation").update(state="sending", claimed_at=NOW, attempts=1, message_id="k")
    send_due(at=NOW + 15 * MINUTE, channels=[Tried(knows=knows)])
    assert the("confirmation").state == "sending", "not stale yet"
    send_due(at=NOW + 16 * MINUTE, channels=[Tried(knows=knows)])
    assert the("confirmation").state == state


def test_a_run_ends_at_its_most_and_when_it_is_asked_to(booked):
    ReminderFactory(appointment__starts_at=THURSDAY, due_at=NOW)
    stopped = send_due(at=NOW, channels=[Tried()], stop=lambda: True)
    assert (stopped.stopped, stopped.sent) == (True, 0)
    assert [send_due(at=NOW, channels=[Tried()], at_most=1).sent for _ in range(3)] == [1, 1, 0]


def test_a_channel_that_is_not_in_use_leaves_its_messages(booked):
    class Elsewhere(Tried):
        name = "pigeon"

    assert send_due(at=NOW, channels=[Elsewhere()]).sent == 0
    assert the("confirmation").state == "due"


def test_the_first_channel_that_reaches_her_is_used(her, settings):
    settings.MESSAGE_CHANNELS = ["text-file", "email"]
    by_phone, by_mail = AgreeingClientFactory(), AgreeingClientFactory(phone="")
    for client in (by_phone, by_mail):
        tell_of(appointment=AppointmentFactory(client=client, starts_at=THURSDAY), at=NOW)
    assert set(Reminder.objects.values_list("client", "channel")) == {
        (by_phone.pk, "text-file"),
        (by_mail.pk, "email"),
    }


# What a person settles


@pytest.fixture
def unclear(booked):
    send_due(at=NOW, channels=[Tried(PerhapsSentError("It broke off."))])
    return the("confirmation")


@pytest.mark.parametrize(("was_sent", "state"), [(True, "sent"), (False, "given up")])
def test_a_person_settles_what_is_unclear_once(unclear, was_sent, state):
    desk = DeskFactory()
    row = settle(reminder=unclear, was_sent=was_sent, by=desk, at=NOW + HOUR)
    assert (row.state, row.settled_by) == (state, desk)
    with pytest.raises(ValidationError, match="settled already"):
        settle(reminder=unclear, was_sent=was_sent, by=desk, at=NOW + HOUR)


def test_sent_again_by_a_person_it_keeps_its_key(unclear):
    try_again(reminder=unclear, by=DeskFactory(), at=NOW + HOUR)
    channel = Tried()
    assert send_due(at=NOW + HOUR, channels=[channel]).sent == 1
    assert channel.handed[0].key == unclear.message_id


def test_what_went_out_or_is_of_no_use_is_not_sent_again(unclear, booked):
    with pytest.raises(ValidationError, match="would have come too late"):
        try_again(reminder=unclear, by=DeskFactory(), at=THURSDAY)
    settle(reminder=unclear, was_sent=True, by=DeskFactory(), at=NOW)
    with pytest.raises(ValidationError, match="nothing to try again"):
        try_again(reminder=unclear, by=DeskFactory(), at=NOW)


def test_without_consent_nothing_is_sent_again(unclear):
    stop_telling(client=unclear.client, at=NOW + HOUR)
    with pytest.raises(ValidationError, match="has not agreed"):
        try_again(reminder=unclear, by=DeskFactory(), at=NOW + HOUR)


def test_stopping_takes_the_consent_back_and_drops_what_waits(her, booked):
    for _ in range(2):
        stop_telling(client=her, at=NOW)
    consent = Consent.objects.get(kind="reminders")
    assert (consent.withdrawn_at, consent.withdrawn_by_link) == (NOW, True)
    assert set(states().values()) == {"dropped"}
    assert Consent.objects.live().filter(client=her, kind="record").exists()
