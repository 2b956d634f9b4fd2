"""What consults asked for and did not find in the drawer: the demand that no sale shows."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce, Lower

from pieces.models.stock import Variant
from salon.models import User


class AskedForQuerySet(models.QuerySet["AskedFor"]):
    def in_the_order_asked(self) -> AskedForQuerySet:
        return self.order_by("asked_at", "pk")


class AskedFor(models.Model):
    """A variant that would have been laid out; or, where the catalogue has none, what was missed in words."""

    variant = models.ForeignKey(Variant, models.PROTECT, related_name="asked_for", null=True, blank=True)
    words = models.CharField("what was missed", max_length=160, blank=True)
    length_mm = models.PositiveSmallIntegerField("length", null=True, blank=True)
    visit_reference = models.CharField("in the visit", max_length=16, db_index=True)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects: ClassVar[AskedForQuerySet] = AskedForQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-asked_at", "-pk"]
        verbose_name = "piece asked for"
        verbose_name_plural = "pieces asked for"
        indexes = [models.Index(fields=["asked_at"], name="asked_for_by_day")]
        constraints = [
            models.UniqueConstraint(
                fields=["visit_reference", "variant"],
                condition=Q(variant__isnull=False),
                name="asked_for_once_in_a_visit",
                violation_error_message="That is written down for this visit already.",
            ),
            models.UniqueConstraint(
                "visit_reference",
                Lower("words"),
                Coalesce("length_mm", 0),
                condition=Q(variant__isnull=True),
                name="asked_for_in_words_once_in_a_visit",
                violation_error_message="That is written down for this visit already.",
            ),
            models.CheckConstraint(
                condition=Q(variant__isnull=False) | ~Q(words=""),
                name="asked_for_something",
                violation_error_message="Say which piece was missed.",
            ),
        ]

    def __str__(self) -> str:
        return str(self.variant) if self.variant else self.words
