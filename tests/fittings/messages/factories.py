"""A client who agreed to messages, and messages about an appointment of hers."""

from datetime import timedelta

import factory
from django.utils.timezone import now
from factory.django import DjangoModelFactory

from fittings.messages.wanted import told_as
from fittings.models import Reminder
from tests.factories import ClientFactory, ConsentFactory
from tests.fittings.factories import AppointmentFactory


def _agrees(client, create, extracted):
    ConsentFactory(client=client, kind="reminders", by=client.created_by, at=now() - timedelta(days=60))


class AgreeingClientFactory(ClientFactory):
    """She has an e-mail address, and signed the consent to messages."""

    email = factory.Sequence(lambda n: f"ada{n + 1}@ashdown.example")

    agrees = factory.PostGeneration(_agrees)


class ReminderFactory(DjangoModelFactory):
    """A confirmation that is due, unless said otherwise."""

    class Meta:
        model = Reminder

    appointment = factory.SubFactory(
        AppointmentFactory, client=factory.SubFactory(AgreeingClientFactory), starts_at=now() + timedelta(days=9)
    )
    client = factory.SelfAttribute("appointment.client")
    kind = "confirmation"
    channel = "email"
    about = factory.LazyAttribute(lambda row: told_as(row.appointment.starts_at))
    due_at = factory.LazyFunction(lambda: now() - timedelta(minutes=1))
    next_try_at = factory.SelfAttribute("due_at")
    made_at = factory.SelfAttribute("due_at")


class UnsettledFactory(ReminderFactory):
    """Its sender stopped while it was going out."""

    state = "unknown"
    claimed_at = factory.SelfAttribute("due_at")
    attempts = 1
    trouble = "The sender stopped while it was going out."
