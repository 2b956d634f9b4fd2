"""A message that is due, and what became of it: no row is deleted, and no message has two.

The deeds are in `fittings.reminding`. A row is claimed before anything is sent: a sender that dies halfway leaves it as
being sent, and nobody sends it a second time without a person looking at it.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.db import models
from django.db.models import Q

from clients.models import Client, SkinTest
from fittings.models.desk import Appointment
from fittings.models.owned import OwnedPiece
from salon.models import User


class ReminderQuerySet(models.QuerySet["Reminder"]):
    def due(self, at: datetime) -> ReminderQuerySet:
        """To be sent now: due, or failed and to be tried again, and the next try not in the future."""
        return self.filter(state__in=(Reminder.State.DUE, Reminder.State.FAILED), next_try_at__lte=at)


class Reminder(models.Model):
    class Kind(models.TextChoices):
        CONFIRMATION = "confirmation", "Confirmation"
        CHANGED = "changed", "New time"
        CANCELLED = "cancelled", "Cancelled"
        TWO_DAYS = "two days", "Two days before"
        SAME_DAY = "same day", "On the day"
        READING = "reading", "Time to come back"
        CARE = "care", "Care date"

    class State(models.TextChoices):
        DUE = "due", "Due"
        SENDING = "sending", "Being sent"
        SENT = "sent", "Sent"
        FAILED = "failed", "Could not be sent yet"
        GIVEN_UP = "given up", "Could not be sent"
        UNKNOWN = "unknown", "May have been sent"
        DROPPED = "dropped", "No longer wanted"

    client = models.ForeignKey(Client, models.PROTECT, related_name="reminders")
    appointment = models.ForeignKey(Appointment, models.PROTECT, related_name="reminders", null=True, blank=True)
    skin_test = models.ForeignKey(SkinTest, models.PROTECT, related_name="reminders", null=True, blank=True)
    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="reminders", null=True, blank=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    channel = models.CharField(max_length=12)
    about = models.CharField(
        max_length=40, help_text="Which state of affairs it tells of, so that a moved appointment is told of anew."
    )
    due_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.DUE)
    attempts = models.PositiveSmallIntegerField(default=0)
    claimed_at = models.DateTimeField(null=True, blank=True)
    run = models.UUIDField("claimed by the run", null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    message_id = models.CharField(max_length=120, blank=True)
    trouble = models.CharField("why it could not be sent", max_length=240, blank=True)
    settled_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    made_at = models.DateTimeField()

    objects: ClassVar[ReminderQuerySet] = ReminderQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-due_at", "-pk"]
        verbose_name = "message"
        indexes = [
            models.Index(fields=["state", "next_try_at"], name="reminder_by_state_and_time"),
            models.Index(fields=["due_at"], name="reminder_by_due"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["appointment", "kind", "channel", "about"],
                condition=Q(appointment__isnull=False),
                name="reminder_once_of_an_appointment",
                violation_error_message="This message exists already.",
            ),
            models.UniqueConstraint(
                fields=["skin_test", "kind", "channel", "about"],
                condition=Q(skin_test__isnull=False),
                name="reminder_once_of_a_skin_test",
                violation_error_message="This message exists already.",
            ),
            models.UniqueConstraint(
                fields=["owned_piece", "kind", "channel", "about"],
                condition=Q(owned_piece__isnull=False),
                name="reminder_once_of_a_care_date",
                violation_error_message="This message exists already.",
            ),
            models.CheckConstraint(
                condition=Q(appointment__isnull=False, skin_test__isnull=True, owned_piece__isnull=True)
                | Q(appointment__isnull=True, skin_test__isnull=False, owned_piece__isnull=True)
                | Q(appointment__isnull=True, skin_test__isnull=True, owned_piece__isnull=False),
                name="reminder_is_about_one_thing",
                violation_error_message="A message is about an appointment, a test or the care of a piece.",
            ),
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(sent_at__isnull=False),
                name="reminder_sent_at_a_time",
                violation_error_message="What was sent was sent at a time.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.client.reference}"
