"""The desk's records: kinds of visit, places, and who comes when.

An appointment moves through its states by the deeds in `fittings.booking`; nothing else assigns one.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.contrib.postgres.fields import DateTimeRangeField, RangeBoundary, RangeOperators
from django.db import models
from django.db.models import F, Func, Q

from clients.models import Client
from fittings.models.exclusion import PostgresExclusion
from salon.common.references import new_reference
from salon.models import User


class ServiceKind(models.Model):
    """A kind of visit with its usual length, the clean-up after it, and its price."""

    name = models.CharField(max_length=60, unique=True)
    minutes = models.PositiveSmallIntegerField()
    clean_up_minutes = models.PositiveSmallIntegerField("minutes before the place is free again", default=0)
    price_minor = models.PositiveIntegerField("price", default=0)
    is_consult = models.BooleanField("begins with an assessment", default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gte=5, minutes__lte=600),
                name="service_kind_5_to_600_minutes",
                violation_error_message="A visit takes between 5 and 600 minutes.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Place(models.Model):
    """A room, chair or basin that one client uses at a time."""

    name = models.CharField(max_length=60, unique=True)
    is_private = models.BooleanField("private room", default=False)

    class Meta:
        ordering = ["-is_private", "name"]

    def __str__(self) -> str:
        return self.name


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
        return self.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)

    def holding_place(self, place: Place, starts_at: datetime, free_at: datetime) -> AppointmentQuerySet:
        """Those that keep the place, clean-up included, during [starts_at, free_at)."""
        return self.filter(place=place, starts_at__lt=free_at, place_free_at__gt=starts_at)

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
    booked_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    booked_at = models.DateTimeField(auto_now_add=True)
    closed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    closed_at = models.DateTimeField("cancelled or missed at", null=True, blank=True)
    closed_because = models.CharField("why it was cancelled", max_length=240, blank=True)

    objects: ClassVar[AppointmentQuerySet] = AppointmentQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [models.Index(fields=["starts_at"], name="appointment_by_start")]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at"), place_free_at__gte=F("ends_at")),
                name="appointment_ends_after_it_begins",
                violation_error_message="An appointment ends after it begins, and the place is free again no sooner.",
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
