"""The salon's own shades as photos read them: the pictures of the ring, and what was read from each.

An instrument's values stand on the shade itself; a photo's stand here, one row a reading, and are never rewritten: a
shade read anew, by a newer routine or under another setting, gets another row.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from pieces.models.shade import LAB_FIELDS, Shade
from salon.common.references import new_reference
from salon.common.stored_pictures import StoredPicture
from salon.models import User

Lab = tuple[float, float, float]


def _ring_photo_reference() -> str:
    return new_reference("R")


class RingPhoto(StoredPicture):
    """A picture of shades with the card or the chart in the frame."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_ring_photo_reference)
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-taken_at", "-pk"]

    def __str__(self) -> str:
        return f"Ring photo of {self.taken_at:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("ring-photo", args=[self.reference])


class ShadeReadingQuerySet(models.QuerySet["ShadeReading"]):
    def newest_first(self) -> ShadeReadingQuerySet:
        return self.order_by("-read_at", "-pk")


class ShadeReading(models.Model):
    """One shade's colour at root, mid-length and ends as one photo showed it; L*a*b* under D65, 2° observer."""

    class Method(models.TextChoices):
        CARD = "card", "Photo with the grey card"
        CHART = "chart", "Photo with the chart"

    shade = models.ForeignKey(Shade, models.PROTECT, related_name="readings")
    method = models.CharField(max_length=10, choices=Method.choices)
    routine_version = models.CharField(
        max_length=20, help_text="The scale: only colours read by one routine are compared."
    )
    root_l = models.FloatField("root L*")
    root_a = models.FloatField("root a*")
    root_b = models.FloatField("root b*")
    mid_l = models.FloatField("mid-length L*")
    mid_a = models.FloatField("mid-length a*")
    mid_b = models.FloatField("mid-length b*")
    ends_l = models.FloatField("ends L*")
    ends_a = models.FloatField("ends a*")
    ends_b = models.FloatField("ends b*")
    doubt = models.FloatField("doubt (ΔE00)", help_text="Nine readings in ten lie within it; the largest of the zones.")
    details = models.JSONField(default=dict, blank=True, help_text="Marks, correction, spread and count of samples.")
    photo = models.ForeignKey(RingPhoto, models.PROTECT, related_name="readings")
    read_at = models.DateTimeField()
    read_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects: ClassVar[ShadeReadingQuerySet] = ShadeReadingQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-read_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    **{f"{field}__gte": 0 if field.endswith("_l") else -128 for field in LAB_FIELDS},
                    **{f"{field}__lte": 100 if field.endswith("_l") else 128 for field in LAB_FIELDS},
                ),
                name="shade_reading_is_a_colour",
                violation_error_message="L* lies between 0 and 100, a* and b* between −128 and 128.",
            ),
            models.CheckConstraint(
                condition=Q(doubt__gte=0),
                name="shade_reading_doubt_not_negative",
                violation_error_message="The doubt of a reading is zero or more.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shade} read from a photo on {self.read_at:%d %b %Y}"

    def lab(self) -> dict[str, Lab]:
        """L*a*b* by zone (root, mid, ends)."""
        return {zone: _lab(self, zone) for zone in ("root", "mid", "ends")}


def _lab(row: Any, zone: str) -> Lab:
    return (getattr(row, f"{zone}_l"), getattr(row, f"{zone}_a"), getattr(row, f"{zone}_b"))
