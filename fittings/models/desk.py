"""Who comes when, for what, to whom and where; and every change that was made to it.

An appointment moves through its states by the deeds in `fittings.booking`; nothing else assigns one.
"""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import ClassVar

from django.contrib.postgres.fields import DateTimeRangeField, RangeBoundary, RangeOperators
from django.db import models
from django.db.models import F, Func, Q

from clients.models import Client
from fittings.models.awaited import AwaitedPiece
from fittings.models.exclusion import PostgresExclusion
from fittings.models.kinds_and_places import Place, ServiceKind
from pieces.models import Payment
from salon.common.references import new_reference
from salon.models import User

# a visit takes 600 minutes and its clean-up 240 at most: what is going on began within the day before, and asked so, an
# index answers however many visits there have been
A_DAY = timedelta(days=1)


class _Span(Func):
    """Half-open time range [start, end) of two columns: touching is not sharing."""

    function = "TSTZRANGE"
    output_field = DateTimeRangeField()


def _no_two(name: str, column: str, until: str, message: str) -> PostgresExclusion:
    return PostgresExclusion(
        name=name,
        expressions=[
            (_Span("starts_at", until, RangeBoundary()), RangeOperators.OVERLAPS),
            (column, RangeOperators.EQUAL),
        ],
        condition=Q(state__in=["booked", "arrived", "in the chair", "done"]),
        violation_error_message=message,
    )


class AppointmentQuerySet(models.QuerySet["Appointment"]):
    def standing(self) -> AppointmentQuerySet:
        """Appointments that hold their time: not cancelled, not missed."""
        return self.filter(state__in=Appointment.STANDING)

    def overlapping(self, starts_at: datetime, ends_at: datetime) -> AppointmentQuerySet:
        """Those that share time with [starts_at, ends_at); touching is not sharing."""
        return self.filter(starts_at__gt=starts_at - A_DAY, starts_at__lt=ends_at, ends_at__gt=starts_at)

    def holding_place(self, place: Place, starts_at: datetime, free_at: datetime) -> AppointmentQuerySet:
        """Those that keep the place, clean-up included, during [starts_at, free_at)."""
        return self.filter(
            place=place, starts_at__gt=starts_at - A_DAY, starts_at__lt=free_at, place_free_at__gt=starts_at
        )

    def between(self, starts_at: datetime, ends_at: datetime) -> AppointmentQuerySet:
        """Those that begin in [starts_at, ends_at), with what a day's page shows of them."""
        return self.filter(starts_at__gte=starts_at, starts_at__lt=ends_at).select_related(
            "client", "kind", "stylist", "place"
        )


def _appointment_reference() -> str:
    return new_reference("B")


class Appointment(models.Model):
    class State(models.TextChoices):
        BOOKED = "booked", "Booked"
        ARRIVED = "arrived", "Arrived"
        IN_CHAIR = "in the chair", "In the chair"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Cancelled"
        MISSED = "missed", "Did not come"

    STANDING: ClassVar = (State.BOOKED, State.ARRIVED, State.IN_CHAIR, State.DONE)

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_appointment_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="appointments")
    kind = models.ForeignKey(ServiceKind, models.PROTECT, related_name="appointments", verbose_name="kind of visit")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="appointments")
    place = models.ForeignKey(Place, models.PROTECT, related_name="appointments")
    starts_at = models.DateTimeField("begins")
    ends_at = models.DateTimeField("ends")
    place_free_at = models.DateTimeField("place free again")
    state = models.CharField(max_length=12, choices=State.choices, default=State.BOOKED)
    note = models.CharField(max_length=240, blank=True)
    awaits = models.ForeignKey(
        AwaitedPiece, models.PROTECT, related_name="appointments", null=True, blank=True, verbose_name="for the piece"
    )
    series = models.UUIDField("booked together", null=True, blank=True, editable=False, db_index=True)
    deposit_minor = models.PositiveIntegerField("deposit", default=0)
    deposit_paid_at = models.DateTimeField("deposit paid", null=True, blank=True)
    deposit_taken_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    deposit_payment = models.ForeignKey(
        Payment, models.PROTECT, related_name="appointments", null=True, blank=True, verbose_name="how it was paid"
    )  # not one-to-one: SQLite would make the table anew for that, and lose the triggers that keep visits apart
    calendar_uid = models.UUIDField("UID in calendars", default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField("SEQUENCE in calendars", default=0, editable=False)
    changed_at = models.DateTimeField(auto_now=True)
    booked_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    booked_at = models.DateTimeField(auto_now_add=True)
    closed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    closed_at = models.DateTimeField("cancelled or missed at", null=True, blank=True)
    closed_because = models.CharField("why it was cancelled", max_length=240, blank=True)

    objects: ClassVar[AppointmentQuerySet] = AppointmentQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [
            models.Index(fields=["starts_at"], name="appointment_by_start"),
            models.Index(fields=["stylist", "starts_at"], name="appointment_of_stylist"),
            models.Index(fields=["place", "starts_at"], name="appointment_at_place"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at"), place_free_at__gte=F("ends_at")),
                name="appointment_ends_after_it_begins",
                violation_error_message="An appointment ends after it begins, and the place is free again no sooner.",
            ),
            models.CheckConstraint(
                condition=Q(deposit_paid_at__isnull=True, deposit_taken_by__isnull=True)
                | Q(deposit_paid_at__isnull=False, deposit_taken_by__isnull=False),
                name="appointment_deposit_taken_by_somebody",
                violation_error_message="Somebody takes a deposit, at a time.",
            ),
            _no_two("appointment_one_at_a_place", "place", "place_free_at", "This place is taken at that time."),
            _no_two(
                "appointment_one_with_a_stylist",
                "stylist",
                "ends_at",
                "The stylist is with somebody else at that time.",
            ),
            _no_two(
                "appointment_one_of_a_client", "client", "ends_at", "The client has another appointment at that time."
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.reference}"

    @property
    def is_standing(self) -> bool:
        return self.state in self.STANDING

    @property
    def owes_deposit(self) -> bool:
        return self.deposit_minor > 0 and self.deposit_paid_at is None


class AppointmentChange(models.Model):
    """One thing that was done to an appointment, by whom and when; written by the deeds, never edited."""

    class What(models.TextChoices):
        BOOKED = "booked", "Booked"
        MOVED = "moved", "Moved"
        ARRIVED = "arrived", "Arrived"
        IN_CHAIR = "in the chair", "In the chair"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Cancelled"
        MISSED = "missed", "Did not come"
        DEPOSIT = "deposit", "Deposit taken"

    appointment = models.ForeignKey(Appointment, models.PROTECT, related_name="changes")
    what = models.CharField(max_length=12, choices=What.choices)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    starts_at = models.DateTimeField("began then at")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="+")
    place = models.ForeignKey(Place, models.PROTECT, related_name="+")
    because = models.CharField("why", max_length=240, blank=True)
    passed = models.JSONField(default=list, blank=True, help_text="What stood in the way and was gone past.")

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["appointment", "at"], name="appointment_changes_in_order")]
        constraints = [
            models.CheckConstraint(
                condition=Q(passed=[]) | ~Q(because=""),
                name="appointment_change_says_why_it_went_past",
                violation_error_message="Write why it is booked although something stands in the way.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.appointment}"
