"""What a message says: when and where, never what for, and nothing about health."""

from datetime import UTC, datetime, timedelta
from itertools import product

import pytest

from clients.models import Client
from fittings.messages.wanted import told_as
from fittings.messages.wording import message_of, words_of
from fittings.models import Purpose, Reminder
from salon.models import Salon
from tests.fittings.factories import AppointmentFactory
from tests.fittings.messages.factories import AgreeingClientFactory

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
TUESDAY = datetime(2026, 3, 3, 10, 30, tzinfo=UTC)
# what would tell whoever reads over her shoulder what she comes for; none may stand there, even inside another word
HEALTH_WORDS = """
    hair loss scalp wig piece topper skin test allerg patch consult medic adhesive colour color dye tape glue clip thin
    bald cancer chemo doctor treatment reaction fitting repair wash cut base crown health stylist
"""


@pytest.fixture
def salon(db):
    salon = Salon.objects.default()
    salon.name, salon.phone, salon.address = "The Quiet Room", "01632 960001", "3 Weir Lane\nMarrowick"
    salon.save()
    return salon


def words(kind, *moments, salon, name="Ada", link="https://salon.example/stop-messages/C-1/"):
    her = Client(given_name=name)
    return words_of(kind, moments or [TUESDAY], client=her, salon=salon, at=NOW, link=link)


def test_a_confirmation_says_when_where_and_how_to_change(salon):
    told = words("confirmation", salon=salon)
    assert told.subject == "Your appointment on Tuesday 3 March at 10:30"
    assert told.body == (
        "Dear Ada,\n\n"
        "Your appointment at The Quiet Room is on Tuesday 3 March at 10:30.\n\n"
        "If you can't come or need another time, please ring us on 01632 960001.\n\n"
        "The Quiet Room\n3 Weir Lane\nMarrowick\n01632 960001\n\n"
        "You get this because you agreed to messages from us. To get no more of them:\n"
        "https://salon.example/stop-messages/C-1/\n"
    )


def test_appointments_booked_together_are_confirmed_together(salon):
    told = words("confirmation", TUESDAY + timedelta(days=14), TUESDAY, salon=salon)
    assert "  Tuesday 3 March at 10:30\n  Tuesday 17 March at 10:30\n" in told.body
    assert "your appointments: 2, the first Tue 3 Mar, 10:30." in told.short


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        ("changed", "Your appointment at The Quiet Room has a new time. It is now on Tuesday 3 March at 10:30."),
        ("cancelled", "Your appointment at The Quiet Room on Tuesday 3 March at 10:30 is cancelled."),
        ("two days", "This is a reminder of your appointment at The Quiet Room on Tuesday 3 March at 10:30."),
        ("same day", "This is a reminder of your appointment at The Quiet Room on Tuesday 3 March at 10:30."),
        ("reading", "It is time to come back to The Quiet Room, as agreed."),
    ],
)
def test_each_kind_says_one_thing(salon, kind, says):
    assert says in words(kind, salon=salon).body


def test_times_are_those_of_the_salons_clock(salon):
    salon.time_zone = "Australia/Lord_Howe"
    assert "Tuesday 3 March at 21:30" in words("confirmation", salon=salon).body  # UTC+11 in summer


def test_another_year_is_said(salon):
    moment = datetime(2027, 1, 5, 9, 0, tzinfo=UTC)
    assert "on Tuesday 5 January 2027 at 09:00" in words("confirmation", moment, salon=salon).body


def test_without_an_address_of_the_salon_she_is_told_to_say_so(salon):
    told = words("confirmation", salon=salon, link="")
    assert "To get no more of them, tell us." in told.body
    assert "Stop:" not in told.short


@pytest.mark.parametrize("kind", Reminder.Kind.values)
@pytest.mark.parametrize(
    "name", ["The Quiet Room", "The Very Long Name of a Salon beside the Old Weir in Marrowick Ltd"]
)
def test_a_text_message_is_one_text_message(salon, kind, name):
    salon.name = name
    link = "https://desk.quiet-room.example/stop-messages/C-7K2M9QAV:" + "x" * 43 + "/"
    told = words(kind, salon=salon, link=link)
    assert len(told.short) <= 160
    assert told.short.isascii()
    assert told.short.endswith(link)
    assert told.short.startswith(name[:8])


@pytest.mark.django_db
def test_nothing_that_goes_out_holds_a_health_word(salon, subtests, settings):
    settings.SALON_ADDRESS = "https://salon.example"
    visit = AppointmentFactory(client=AgreeingClientFactory(), starts_at=TUESDAY)
    names = ["Consult", "Hair colour", "Skin test read", "Adhesive test", "Topper cut-in", "Scalp check-up"]
    for (name, purpose), kind in product(zip(names, Purpose.values[: len(names)], strict=True), Reminder.Kind.values):
        visit.kind.name, visit.kind.purpose = name, purpose
        row = Reminder(appointment=visit, client=visit.client, kind=kind, about=told_as(TUESDAY), message_id="7")
        with subtests.test(f"{name}, {kind}"):
            message = message_of([row], salon=salon, at=NOW)
            calendar = b"".join(message.invitations).decode().replace(str(visit.calendar_uid), "")
            said = f"{message.subject}\n{message.body}\n{message.short}\n{calendar}".replace(message.stop_address, "")
            assert [word for word in HEALTH_WORDS.split() if word in said.lower()] == []
