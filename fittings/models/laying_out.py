"""Which units from the drawer lie ready before a client comes."""

from __future__ import annotations

from django.db import models

from fittings.models.desk import Appointment
from pieces.models import Unit
from salon.models import User


class UnitToTry(models.Model):
    """One unit to lay out for one appointment."""

    appointment = models.ForeignKey(Appointment, models.PROTECT, related_name="units_to_try")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+")
    added_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    laid_out_at = models.DateTimeField(null=True, blank=True)
    laid_out_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "units to try"
        constraints = [
            models.UniqueConstraint(
                fields=["appointment", "unit"],
                name="unit_to_try_once_for_an_appointment",
                violation_error_message="This unit is already among those to lay out.",
            ),
            models.CheckConstraint(
                condition=models.Q(laid_out_at__isnull=True, laid_out_by__isnull=True)
                | models.Q(laid_out_at__isnull=False, laid_out_by__isnull=False),
                name="unit_to_try_laid_out_by_somebody",
                violation_error_message="Somebody lays a unit out.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} for {self.appointment}"
