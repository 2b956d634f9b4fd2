"""Messages about care dates: for which, when, once, and what drops them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core import mail

from clients.consenting import withdraw_consent
from fittings.caring import mark_told
from fittings.messages import wanted as why
from fittings.models import CareDate, HouseRule, OwnedPiece, Reminder
from fittings.reminding import send_due, try_again
from tests.factories import ConsentFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, OwnedPieceFactory
from tests.fittings.messages.factories import AgreeingClientFactory

pytestmark = pytest.mark.django_db

NOW = datetime(2027, 3, 2, 11, 0, tzinfo=UTC)
TODAY = NOW.date()
DAY = timedelta(days=1)


@pytest.fixture
def owned():
    piece = OwnedPieceFactory(client=AgreeingClientFactory(record_consent=True), since=TODAY - 90 * DAY)
    OwnedPiece.objects.update(care_worked_out_at=NOW)  # the dates below stay as they are written
    return piece


def falls_due(owned, days, kind="check-up", worked_out=-10):
    on = TODAY + days * DAY
    return CareDate.objects.create(owned_piece=owned, kind=kind, due_on=on, worked_out_on=TODAY + worked_out * DAY)


def states():
    return list(Reminder.objects.order_by("pk").values_list("kind", "about", "state", "trouble"))


def test_it_goes_out_once_some_days_before(owned):
    row = falls_due(owned, 6)
    send_due(at=NOW)
    assert mail.outbox == []
    for day in range(1, 9):
        send_due(at=NOW + day * DAY)
    assert [sent.subject for sent in mail.outbox] == ["Your next visit"]
    assert states() == [("care", f"{row.due_on} check-up", "sent", "")]


def test_it_says_nothing_of_what_for(owned):
    falls_due(owned, 1, kind="tape")
    send_due(at=NOW)
    assert "It is time to plan your next visit to" in mail.outbox[0].body
    assert not any(word in mail.outbox[0].body.lower() for word in ("tape", "check-up", "piece", "heron"))


@pytest.mark.parametrize("kind", ["wash", "deep care", "replace"])
def test_washes_and_the_expected_end_are_left_to_the_list(owned, kind):
    falls_due(owned, 0, kind=kind)
    send_due(at=NOW)
    assert not Reminder.objects.exists()


@pytest.mark.parametrize(("days", "worked_out"), [(-8, -30), (3, 0), (6, -10)])
def test_not_too_late_not_on_the_day_it_was_worked_out_and_not_too_early(owned, days, worked_out):
    falls_due(owned, days, worked_out=worked_out)
    send_due(at=NOW)
    assert not Reminder.objects.exists()


def test_how_long_before_is_a_house_rule(owned):
    HouseRule.objects.create(key="care_message_days", value=14)
    OwnedPiece.objects.update(care_worked_out_at=NOW)
    falls_due(owned, 12)
    send_due(at=NOW)
    assert len(mail.outbox) == 1


def test_nobody_is_woken(owned):
    falls_due(owned, 1)
    send_due(at=NOW.replace(hour=3))
    assert mail.outbox == []
    send_due(at=NOW.replace(hour=9, minute=1))
    assert len(mail.outbox) == 1


def test_whoever_comes_anyway_gets_none(owned):
    AppointmentFactory(client=owned.client, starts_at=NOW + 20 * DAY)
    falls_due(owned, 1)
    send_due(at=NOW)
    assert not Reminder.objects.filter(kind="care").exists()


def test_whoever_has_not_agreed_gets_none():
    piece = OwnedPieceFactory(client__email="ada@ashdown.example")
    OwnedPiece.objects.update(care_worked_out_at=NOW)
    falls_due(piece, 1)
    send_due(at=NOW)
    assert not Reminder.objects.exists()
    ConsentFactory(client=piece.client, kind="reminders")
    send_due(at=NOW)
    assert len(mail.outbox) == 1


def test_without_an_address_it_waits_for_one(owned):
    owned.client.email = owned.client.phone = ""
    owned.client.save()
    falls_due(owned, 1)
    send_due(at=NOW)
    assert states()[0][2:] == ("dropped", why.NO_ADDRESS)
    owned.client.email = "ada@ashdown.example"
    owned.client.save()
    send_due(at=NOW + timedelta(hours=1))
    assert len(mail.outbox) == 1


def test_two_pieces_that_fall_due_together_are_one_message(owned):
    other = OwnedPieceFactory(client=owned.client)
    OwnedPiece.objects.update(care_worked_out_at=NOW)
    falls_due(owned, 1)
    falls_due(other, 3)
    send_due(at=NOW)
    assert len(mail.outbox) == 1
    assert sorted(row[2:] for row in states()) == [("dropped", why.SAID_ALREADY), ("sent", "")]


def waiting(owned):
    """A message that waits until the morning."""
    row = falls_due(owned, 1)
    send_due(at=NOW.replace(hour=3))
    assert Reminder.objects.get().state == "due"
    return row


def moved(row):
    CareDate.objects.filter(pk=row.pk).update(due_on=TODAY + 40 * DAY)


def told(row):
    mark_told(care_date=row, by=StylistFactory(), at=NOW)


def ended(row):
    by = StylistFactory()
    OwnedPiece.objects.update(until=TODAY, ended="lost", ended_by=by, ended_at=NOW)


def withdrawn(row):
    withdraw_consent(
        consent=row.owned_piece.client.consents.get(kind="reminders"), by=StylistFactory(), at=datetime.now(UTC)
    )


@pytest.mark.parametrize(
    ("happens", "because"),
    [(moved, why.CARE_MOVED), (told, why.TOLD_ALREADY), (ended, why.ENDED), (withdrawn, why.NOT_AGREED)],
)
def test_what_is_no_longer_so_is_dropped(owned, happens, because):
    happens(waiting(owned))
    send_due(at=NOW)
    assert mail.outbox == []
    assert states()[0][2:] == ("dropped", because)


def test_one_that_moved_is_told_of_anew_when_it_comes(owned):
    row = falls_due(owned, 1)
    send_due(at=NOW)
    moved(row)
    send_due(at=NOW + 38 * DAY)
    assert len(mail.outbox) == 2


def test_one_that_failed_for_too_long_is_too_late(owned):
    row = falls_due(owned, 0)
    failed = Reminder.objects.create(
        client=owned.client,
        owned_piece=owned,
        kind="care",
        channel="email",
        about=f"{row.due_on} check-up",
        due_at=NOW,
        next_try_at=NOW,
        made_at=NOW,
        state="failed",
        attempts=1,
    )
    assert why.why_not_any_more(failed, at=NOW + 6 * DAY) == ""
    assert why.why_not_any_more(failed, at=NOW + 8 * DAY) == why.TOO_LATE
    assert try_again(reminder=failed, by=StylistFactory(), at=NOW + DAY).state == "due"


def test_a_day_in_the_log_reads_as_a_day():
    row = Reminder(about="2027-03-03 check-up", kind="care")
    assert why.time_told(row) == datetime(2027, 3, 3, tzinfo=UTC)
    assert why.care_told_as(CareDate(kind="check-up", due_on=date(2027, 3, 3))) == row.about
