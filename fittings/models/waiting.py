"""Who would like a visit, or an earlier one, and could take a time that comes free."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from clients.models import Client
from fittings.models.desk import Appointment
from fittings.models.kinds_and_places import ServiceKind
from salon.common.references import new_reference
from salon.models import User


def _waiting_reference() -> str:
    return new_reference("W")


class PartOfDay(models.TextChoices):
    ANY = "any", "Any time"
    MORNINGS = "mornings", "Mornings"
    AFTERNOONS = "afternoons", "Afternoons"


class WaitingEntryQuerySet(models.QuerySet["WaitingEntry"]):
    def waiting(self) -> WaitingEntryQuerySet:
        return self.filter(state=WaitingEntry.State.WAITING)

    def on_day(self, day: date) -> WaitingEntryQuerySet:
        """Those that could be met on that day."""
        return self.filter(Q(latest_on__isnull=True) | Q(latest_on__gte=day), earliest_on__lte=day)


class WaitingEntry(models.Model):
    """One wish on the waiting list; it moves on by the deeds in `fittings.waiting`."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        BOOKED = "booked", "Booked"
        GIVEN_UP = "given up", "No longer waiting"

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_waiting_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="waiting_entries")
    kind = models.ForeignKey(ServiceKind, models.PROTECT, related_name="+", verbose_name="kind of visit")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    earliest_on = models.DateField("not before")
    latest_on = models.DateField("not after", null=True, blank=True)
    part_of_day = models.CharField(max_length=10, choices=PartOfDay.choices, default=PartOfDay.ANY)
    weekdays = models.JSONField(default=list, blank=True, help_text="ISO weekdays she can come; empty for any.")
    short_notice = models.BooleanField("can come at short notice", default=False)
    instead_of = models.ForeignKey(
        Appointment, models.PROTECT, related_name="+", null=True, blank=True, verbose_name="would come earlier than"
    )
    note = models.CharField(max_length=240, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    booked_as = models.OneToOneField(
        Appointment, models.PROTECT, related_name="taken_from_waiting", null=True, blank=True
    )
    closed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_because = models.CharField(max_length=240, blank=True)

    objects: ClassVar[WaitingEntryQuerySet] = WaitingEntryQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["made_at", "pk"]
        verbose_name = "wish on the waiting list"
        verbose_name_plural = "wishes on the waiting list"
        indexes = [models.Index(fields=["state", "kind", "made_at"], name="waiting_by_state_and_kind")]
        constraints = [
            models.CheckConstraint(
                condition=Q(latest_on__isnull=True) | Q(latest_on__gte=F("earliest_on")),
                name="waiting_latest_not_before_earliest",
                violation_error_message="The last day she can come is not before the first.",
            ),
            models.CheckConstraint(
                condition=Q(state="waiting", closed_at__isnull=True, closed_by__isnull=True, booked_as__isnull=True)
                | Q(state="booked", closed_at__isnull=False, closed_by__isnull=False, booked_as__isnull=False)
                | Q(state="given up", closed_at__isnull=False, closed_by__isnull=False, booked_as__isnull=True),
                name="waiting_closed_by_somebody",
                violation_error_message="A wish ends as an appointment or is given up, by somebody, at a time.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.client} waits for {self.kind}"
