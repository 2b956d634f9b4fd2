"""Stocktakes: the drawers gone through, and every unit that was met on the way.

What differs from the books is worked out by `pieces.counting` and put right by movements that name the stocktake.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from pieces.models.base import Maker
from pieces.models.stock import Unit
from salon.common.references import new_reference
from salon.models import User


def _stocktake_reference() -> str:
    return new_reference("K")


class StocktakeQuerySet(models.QuerySet["Stocktake"]):
    def open(self) -> StocktakeQuerySet:
        """Begun and not finished; there is at most one."""
        return self.filter(is_open=True)


class Stocktake(models.Model):
    """One time that the drawers are gone through; `maker` when only one maker's are."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_stocktake_reference)
    maker = models.ForeignKey(Maker, models.PROTECT, related_name="stocktakes", null=True, blank=True)
    is_open = models.BooleanField(default=True, editable=False)
    began_at = models.DateTimeField()
    began_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    expected_count = models.PositiveIntegerField("should have been there", null=True, blank=True)
    found_count = models.PositiveIntegerField("were there", null=True, blank=True)

    objects: ClassVar[StocktakeQuerySet] = StocktakeQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-began_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    is_open=True,
                    finished_at__isnull=True,
                    finished_by__isnull=True,
                    expected_count__isnull=True,
                    found_count__isnull=True,
                )
                | Q(
                    is_open=False,
                    finished_at__gte=F("began_at"),
                    finished_by__isnull=False,
                    expected_count__isnull=False,
                    found_count__isnull=False,
                ),
                name="stocktake_finished_after_it_began",
                violation_error_message="A stocktake is finished by somebody, after it began, and says what was there.",
            ),
            models.UniqueConstraint(
                fields=["is_open"],
                condition=Q(is_open=True),
                name="stocktake_one_open",
                violation_error_message="A stocktake is open already; go on with that one.",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("stocktake", args=[self.reference])


class StocktakeScan(models.Model):
    """A unit that was met, whether it was looked for or not."""

    class How(models.TextChoices):
        CAMERA = "camera", "With the camera"
        TYPED = "typed", "Typed"

    stocktake = models.ForeignKey(Stocktake, models.PROTECT, related_name="scans")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="scans")
    how = models.CharField(max_length=6, choices=How.choices)
    at = models.DateTimeField()
    by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["stocktake", "unit"],
                name="stocktake_scan_once_of_a_unit",
                violation_error_message="This unit is counted already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit} in {self.stocktake}"
