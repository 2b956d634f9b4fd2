"""Shades: the colours a maker offers, with what they measure at root, mid-length and ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from pieces.models.base import Maker

if TYPE_CHECKING:
    from pieces.models.ring import ShadeReading

INSTRUMENT = "instrument"  # the scale of the values typed from an instrument
LAB_FIELDS = tuple(f"{zone}_{axis}" for zone in ("root", "mid", "ends") for axis in ("l", "a", "b"))


class ShadeQuerySet(models.QuerySet["Shade"]):
    def measured(self) -> ShadeQuerySet:
        """Shades that an instrument measured; photos may have read more: see `colours`."""
        return self.exclude(method="")


class Shade(models.Model):
    """One colour of one maker, named in the salon's own words; L*a*b* under D65, 2° observer."""

    class Method(models.TextChoices):
        INSTRUMENT = "instrument", "Instrument"

    maker = models.ForeignKey(Maker, models.PROTECT, related_name="shades")
    code = models.CharField("the salon's own code", max_length=24)
    name = models.CharField(max_length=80)
    method = models.CharField(
        "measured by", max_length=10, choices=Method.choices, blank=True, help_text="Empty: not measured."
    )
    root_l = models.FloatField("root L*", null=True, blank=True)
    root_a = models.FloatField("root a*", null=True, blank=True)
    root_b = models.FloatField("root b*", null=True, blank=True)
    mid_l = models.FloatField("mid-length L*", null=True, blank=True)
    mid_a = models.FloatField("mid-length a*", null=True, blank=True)
    mid_b = models.FloatField("mid-length b*", null=True, blank=True)
    ends_l = models.FloatField("ends L*", null=True, blank=True)
    ends_a = models.FloatField("ends a*", null=True, blank=True)
    ends_b = models.FloatField("ends b*", null=True, blank=True)

    history = HistoricalRecords()
    objects: ClassVar[ShadeQuerySet] = ShadeQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["maker__name", "code"]
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "code"],
                name="shade_code_once_for_a_maker",
                violation_error_message="This maker already has a shade with that code.",
            ),
            models.CheckConstraint(
                condition=Q(method="", **{f"{field}__isnull": True for field in LAB_FIELDS})
                | ~Q(method="") & Q(**{f"{field}__isnull": False for field in LAB_FIELDS}),
                name="shade_measured_whole_or_not_at_all",
                violation_error_message="A measured shade has L*a*b* at root, mid-length and ends, and says how.",
            ),
            models.CheckConstraint(
                condition=Q(method="")
                | Q(
                    **{
                        f"{zone}_l__{side}": limit
                        for zone in ("root", "mid", "ends")
                        for side, limit in (("gte", 0), ("lte", 100))
                    }
                ),
                name="shade_lightness_0_to_100",
                violation_error_message="L* lies between 0 and 100.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    @property
    def is_measured(self) -> bool:
        return bool(self.method)

    def lab(self) -> dict[str, tuple[float, float, float]]:
        """L*a*b* by zone (root, mid, ends); empty when not measured."""
        if not self.is_measured:
            return {}
        return {
            zone: (getattr(self, f"{zone}_l"), getattr(self, f"{zone}_a"), getattr(self, f"{zone}_b"))
            for zone in ("root", "mid", "ends")
        }

    def newest_readings(self) -> dict[str, ShadeReading]:
        """The newest reading of each photo routine. Prefetch `readings`."""
        in_order = sorted(self.readings.all(), key=lambda reading: (reading.read_at, reading.pk))
        return {reading.routine_version: reading for reading in in_order}

    def colours(self) -> dict[str, dict[str, tuple[float, float, float]]]:
        """L*a*b* by scale and zone: the instrument's, and the newest of each photo routine. Prefetch `readings`."""
        found = {INSTRUMENT: self.lab()} if self.is_measured else {}
        return found | {scale: reading.lab() for scale, reading in self.newest_readings().items()}
