"""Lets the demo's messages go out when each was due, so that their log reads as that of a salon at work.

They are put together as always and then let go: whatever mail server the settings name, no loading reaches it, and no
files pile up when the demo is begun anew again and again.
"""

from __future__ import annotations

from datetime import datetime

from fittings.messages.channels import EmailChannel, Message
from fittings.models import Appointment
from fittings.reminding import send_due
from salon.demo.clock import clock_at


class LongDelivered(EmailChannel):
    """Mail of days gone by: written in full, so that what can't be sent is found, and handed to nobody."""

    def send(self, message: Message) -> None:
        self.mail_of(message).message()


def send_up_to(at: datetime) -> None:
    """One run of the sender, as if it were that moment."""
    with clock_at(at):
        send_due(at=at, channels=[LongDelivered()])


def send_before_it_began(appointment: Appointment, *, now: datetime) -> None:
    """The runs in which what is told of this appointment was due, until it began or until now."""
    waiting = appointment.reminders.due(min(now, appointment.starts_at)).order_by("due_at")
    for due_at in list(waiting.values_list("due_at", flat=True)):
        send_up_to(due_at)
