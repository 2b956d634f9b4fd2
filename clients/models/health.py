"""What a client reacts to, and the skin tests that were made before something touched her skin."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from clients.models.client import Client
from clients.models.product import Product
from salon.models import User


class Substance(models.TextChoices):
    HAIR_DYE = "hair dye", "Hair dye"
    BLACK_HENNA = "black henna tattoo", "Temporary black tattoo"
    ACRYLATE = "acrylate adhesive", "Acrylate adhesive (most tapes and glues)"
    LATEX = "latex", "Latex"
    ROSIN = "rosin", "Rosin"
    NICKEL = "nickel", "Nickel"


class Sensitivity(models.Model):
    """A reaction the client has told of; a fact of the moment, never edited."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="sensitivities")
    substance = models.CharField(max_length=20, choices=Substance.choices)
    reaction = models.CharField("what happened", max_length=240, blank=True)
    told_on = models.DateField()
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["substance", "pk"]
        verbose_name_plural = "sensitivities"
        constraints = [
            models.UniqueConstraint(
                fields=["client", "substance"],
                name="sensitivity_once_for_a_substance",
                violation_error_message="This reaction is already on file.",
            )
        ]

    def __str__(self) -> str:
        return self.get_substance_display()


class SkinTestKind(models.TextChoices):
    ADHESIVE = "adhesive", "Tape or adhesive test"
    COLOUR = "colour", "Allergy alert test for colour"


class SkinTestQuerySet(models.QuerySet["SkinTest"]):
    def clear_for(self, client: Client, kind: str, *, at: datetime, valid_for: timedelta) -> SkinTestQuerySet:
        """Tests of that kind read without a reaction and still inside their window at that moment."""
        return self.filter(client=client, kind=kind, reacted=False, read_at__gt=at - valid_for, read_at__lte=at)


class SkinTest(models.Model):
    """A drop of a product on the client's skin, and what was seen when it was read.

    A reaction can come late, so a test that was clear may be read once more: the reading columns hold the newest word,
    the earlier ones the first reading, which was clear.
    """

    client = models.ForeignKey(Client, models.PROTECT, related_name="skin_tests")
    kind = models.CharField(max_length=10, choices=SkinTestKind.choices)
    product = models.CharField(max_length=120)
    lot = models.CharField("lot number", max_length=40, blank=True)
    known_product = models.ForeignKey(
        Product, models.PROTECT, related_name="skin_tests", null=True, blank=True, verbose_name="from the salon's list"
    )
    valid_days = models.PositiveSmallIntegerField(
        "a clear reading counts for (days)",
        null=True,
        blank=True,
        help_text="As its product asked for when it was applied; empty: the house rule.",
    )
    read_from = models.DateTimeField("to be read from", null=True, blank=True)
    applied_at = models.DateTimeField()
    applied_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    read_at = models.DateTimeField(null=True, blank=True)
    read_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    reacted = models.BooleanField("a reaction was seen", null=True, blank=True)
    earlier_read_at = models.DateTimeField("first read, clear", null=True, blank=True)
    earlier_read_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    objects: ClassVar[SkinTestQuerySet] = SkinTestQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-applied_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(read_at__isnull=True) | Q(read_at__gte=F("applied_at")),
                name="skin_test_read_after_it_was_applied",
                violation_error_message="A skin test is read after it was applied.",
            ),
            models.CheckConstraint(
                condition=Q(read_at__isnull=True, read_by__isnull=True, reacted__isnull=True)
                | Q(read_at__isnull=False, read_by__isnull=False, reacted__isnull=False),
                name="skin_test_reading_is_whole",
                violation_error_message="A reading says when, who read it and whether a reaction was seen.",
            ),
            models.CheckConstraint(
                condition=Q(earlier_read_at__isnull=True, earlier_read_by__isnull=True)
                | Q(
                    earlier_read_by__isnull=False,
                    earlier_read_at__gte=F("applied_at"),
                    earlier_read_at__lte=F("read_at"),
                ),
                name="skin_test_read_again_after_the_first_time",
                violation_error_message="A skin test is read again after it was read the first time.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.product}"
