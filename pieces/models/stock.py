"""Variants one can order and the units that lie in a drawer."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, Q
from simple_history.models import HistoricalRecords

from clients.models import Client
from pieces.models.piece import Piece
from pieces.models.shade import Shade
from salon.common.lengths import format_length
from salon.common.references import new_reference
from salon.models import Units


class VariantQuerySet(models.QuerySet["Variant"]):
    def offered(self, on: date) -> VariantQuerySet:
        """Those that can still be had on that day."""
        return self.filter(Q(discontinued_on__isnull=True) | Q(discontinued_on__gt=on))

    def with_drawer_count(self) -> VariantQuerySet:
        """Adds `in_drawer`: how many units lie in a drawer now."""
        return self.annotate(in_drawer=Count("units", filter=Q(units__state=Unit.State.DRAWER)))


class Variant(models.Model):
    """A piece in one length and one shade: what an order names and a price stands on."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="variants")
    shade = models.ForeignKey(Shade, models.PROTECT, related_name="variants")
    length_mm = models.PositiveSmallIntegerField("length", validators=[MinValueValidator(20), MaxValueValidator(1200)])
    price_minor = models.PositiveIntegerField("price")
    cost_minor = models.PositiveIntegerField("cost", null=True, blank=True)
    currency = models.CharField(max_length=3)
    discontinued_on = models.DateField(null=True, blank=True)

    history = HistoricalRecords()
    objects: ClassVar[VariantQuerySet] = VariantQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["piece__name", "length_mm", "shade__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "shade", "length_mm"],
                name="variant_once_of_piece_shade_length",
                violation_error_message="This piece is already listed in that shade and length.",
            ),
            models.CheckConstraint(
                condition=Q(price_minor__gte=0),
                name="variant_price_not_below_zero",
                violation_error_message="A price is zero or more.",
            ),
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"),
                name="variant_currency_is_a_code",
                violation_error_message="A currency is three capital letters, such as GBP.",
            ),
        ]

    def __str__(self) -> str:
        return self.told(Units.METRIC)

    def told(self, units: str) -> str:
        """Its name with the length as a reader of those units writes it. Fetch piece and shade."""
        length = format_length(self.length_mm, "in" if units == Units.IMPERIAL else "cm")
        return f"{self.piece}, {self.shade.code}, {length}"


def _unit_number() -> str:
    return new_reference("U")


class UnitQuerySet(models.QuerySet["Unit"]):
    def in_drawer(self) -> UnitQuerySet:
        """Units that can be laid out for a client now."""
        return self.filter(state=Unit.State.DRAWER)


class Unit(models.Model):
    """One physical piece with its own number. Its state repeats where its last movement led (`pieces.stock`)."""

    class Purpose(models.TextChoices):
        TRY_ON = "try-on", "For trying on"
        SALE = "sale", "For sale"

    class State(models.TextChoices):
        DRAWER = "drawer", "In the drawer"
        RESERVED = "reserved", "Set aside for a client"
        CLEANING = "cleaning", "Being cleaned"
        APART = "kept apart", "Kept apart"
        WITH_CLIENT = "with client", "With a client"
        GONE = "gone", "Written off"

    number = models.CharField(max_length=16, unique=True, editable=False, default=_unit_number)
    variant = models.ForeignKey(Variant, models.PROTECT, related_name="units")
    purpose = models.CharField(max_length=6, choices=Purpose.choices, default=Purpose.SALE)
    state = models.CharField(max_length=11, choices=State.choices, default=State.DRAWER)
    condition = models.CharField(max_length=120, blank=True)
    lightened_before = models.BooleanField(null=True, blank=True)
    received_on = models.DateField()
    cost_minor = models.PositiveIntegerField("what it cost", null=True, blank=True)
    reserved_for = models.ForeignKey(
        Client, models.PROTECT, related_name="units_set_aside", null=True, blank=True, verbose_name="set aside for"
    )

    history = HistoricalRecords()
    objects: ClassVar[UnitQuerySet] = UnitQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["number"]
        indexes = [  # all that the review adds up of a unit
            models.Index(
                fields=["variant", "state", "purpose", "received_on", "cost_minor"], name="unit_summed_by_variant"
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(reserved_for__isnull=True) | Q(state="reserved"),
                name="unit_for_a_client_while_set_aside",
                violation_error_message="A unit is for a client only while it is set aside.",
            )
        ]

    def __str__(self) -> str:
        return self.number
