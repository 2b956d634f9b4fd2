"""The dates of an owned piece's care, as they stand now, and how long pieces of a fibre have lasted in this salon.

The dates are worked out by the pure `fittings.care` and written by `fittings.caring` whenever something they rest on is
recorded; a row is replaced, never added to. What they rested on is kept with them.
"""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from fittings.models.owned import OwnedPiece
from pieces.models import Piece
from salon.models import User


class CareDateQuerySet(models.QuerySet["CareDate"]):
    def due_by(self, on: date) -> CareDateQuerySet:
        """Due on or before that day and not told to her yet, the longest due first."""
        return self.filter(due_on__lte=on, told_at__isnull=True).order_by("due_on", "pk")


class CareDate(models.Model):
    class Kind(models.TextChoices):
        WASH = "wash", "Wash"
        DEEP = "deep care", "Deep care"
        TAPE = "tape", "New tape"
        CHECK = "check-up", "Check-up"
        ORDER = "order", "Order the next one"
        REPLACE = "replace", "Expected end"

    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="care_dates")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    due_on = models.DateField()
    earliest_on = models.DateField(null=True, blank=True)
    latest_on = models.DateField(null=True, blank=True)
    rests_on = models.JSONField(
        encoder=DjangoJSONEncoder,
        default=dict,
        blank=True,
        help_text="What it was worked out from, in words and numbers.",
    )
    worked_out_on = models.DateField()
    told_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    told_at = models.DateTimeField("she was told", null=True, blank=True)

    objects: ClassVar[CareDateQuerySet] = CareDateQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["due_on", "pk"]
        indexes = [
            models.Index(fields=["due_on", "id"], condition=Q(told_at__isnull=True), name="care_date_due"),
            models.Index(
                fields=["kind", "due_on", "id"], condition=Q(told_at__isnull=True), name="care_date_due_of_kind"
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["owned_piece", "kind"],
                name="care_date_one_of_a_kind",
                violation_error_message="This piece has its date of that kind already.",
            ),
            models.CheckConstraint(
                condition=Q(told_at__isnull=True, told_by__isnull=True)
                | Q(told_at__isnull=False, told_by__isnull=False),
                name="care_date_told_by_somebody",
                violation_error_message="She was told by somebody, at a time.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.owned_piece.reference} on {self.due_on}"


class LifeLearnt(models.Model):
    """How long the salon's own pieces of one fibre have lasted: Kaplan–Meier median with its interval."""

    fibre = models.CharField(max_length=13, choices=Piece.Fibre.choices, unique=True)
    pieces = models.PositiveIntegerField("pieces looked at")
    ended = models.PositiveIntegerField("of them worn out")
    median_days = models.PositiveIntegerField(null=True, blank=True)
    low_days = models.PositiveIntegerField(null=True, blank=True)
    high_days = models.PositiveIntegerField(null=True, blank=True)
    learnt_at = models.DateTimeField()

    class Meta:
        ordering = ["fibre"]
        verbose_name_plural = "lives learnt"
        constraints = [
            models.CheckConstraint(
                condition=Q(ended__lte=models.F("pieces")),
                name="life_learnt_no_more_ended_than_there_were",
                violation_error_message="No more pieces can have ended than there were.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_fibre_display()}: {self.median_days or 'not known'} days"
