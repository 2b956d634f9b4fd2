"""What the salon puts on skin, hair or pieces: tapes, adhesives, colours, removers; and what testing each asks for."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords


class ProductQuerySet(models.QuerySet["Product"]):
    def in_use(self) -> ProductQuerySet:
        return self.filter(is_in_use=True)


class Product(models.Model):
    """A product by the name on its label. What was used is kept in words with each service, so a name may change."""

    class Sort(models.TextChoices):
        TAPE = "tape", "Tape"
        ADHESIVE = "adhesive", "Adhesive"
        COLOUR = "colour", "Colour"
        LIGHTENER = "lightener", "Lightener"
        TONER = "toner", "Toner"
        REMOVER = "remover", "Remover or cleaner"
        CARE = "care", "Care"

    name = models.CharField(max_length=120)
    sort = models.CharField(max_length=9, choices=Sort.choices)
    contains = models.JSONField(default=list, blank=True, help_text="Substances on its label that clients react to.")
    contains_read = models.BooleanField("the label was read for them", default=False)
    oxidative = models.BooleanField("works by oxidation", null=True, blank=True)
    flammable = models.BooleanField(null=True, blank=True)
    read_after_hours = models.PositiveSmallIntegerField(
        "a test is read after (hours)", default=48, validators=[MinValueValidator(48), MaxValueValidator(168)]
    )
    test_valid_days = models.PositiveSmallIntegerField(
        "a clear test counts for (days)",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(730)],
        help_text="The maker's figure. Empty: the house rule.",
    )
    is_in_use = models.BooleanField("in use", default=True)

    history = HistoricalRecords()
    objects: ClassVar[ProductQuerySet] = ProductQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="product_name_once",
                violation_error_message="A product of that name is listed already.",
            ),
            models.CheckConstraint(
                condition=Q(read_after_hours__gte=48),
                name="product_test_read_no_sooner_than_48_hours",
                violation_error_message="A test is read after 48 hours or later.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
