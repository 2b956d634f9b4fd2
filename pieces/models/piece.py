"""Pieces: a style on a base in a fibre, as a maker sells it."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from pieces.models.base import Base


class PieceQuerySet(models.QuerySet["Piece"]):
    def offered(self) -> PieceQuerySet:
        """Pieces that still have a variant one can buy."""
        return self.filter(variants__discontinued_on__isnull=True).distinct()


class Piece(models.Model):
    class Fibre(models.TextChoices):
        HUMAN = "human", "Human hair"
        HEAT_FRIENDLY = "heat_friendly", "Heat-friendly synthetic"
        STANDARD = "standard", "Standard synthetic"
        BLEND = "blend", "Blend"

    class SyntheticPart(models.TextChoices):
        HEAT_FRIENDLY = "heat_friendly", "Heat-friendly synthetic"
        STANDARD = "standard", "Standard synthetic"

    class Colourable(models.TextChoices):
        YES = "yes", "Colourable, says the maker"
        NO = "no", "Not colourable, says the maker"

    class Texture(models.TextChoices):
        STRAIGHT = "straight", "Straight"
        WAVY = "wavy", "Wavy"
        CURLY = "curly", "Curly"
        COILY = "coily", "Coily"

    class Density(models.TextChoices):
        LIGHT = "light", "Light"
        MEDIUM = "medium", "Medium"
        FULL = "full", "Full"

    base = models.ForeignKey(Base, models.PROTECT, related_name="pieces")
    name = models.CharField(max_length=80)
    fibre = models.CharField(max_length=13, choices=Fibre.choices)
    synthetic_part = models.CharField(
        "synthetic part of a blend", max_length=13, choices=SyntheticPart.choices, blank=True
    )
    rated_c = models.PositiveSmallIntegerField(
        "takes tools up to (°C)",
        null=True,
        blank=True,
        validators=[MinValueValidator(60), MaxValueValidator(230)],
        help_text="The maker's own figure. Empty: the maker gives none, and no heat is advised.",
    )
    curl_set_c = models.PositiveSmallIntegerField(
        "curl set at (°C)", null=True, blank=True, validators=[MinValueValidator(60), MaxValueValidator(230)]
    )
    colourable = models.CharField(max_length=3, choices=Colourable.choices, blank=True, help_text="Empty: not stated.")
    texture = models.CharField(max_length=8, choices=Texture.choices)
    density = models.CharField(max_length=6, choices=Density.choices, default=Density.MEDIUM)

    history = HistoricalRecords()
    objects: ClassVar[PieceQuerySet] = PieceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["base", "name"],
                name="piece_name_once_on_a_base",
                violation_error_message="A piece of that name is already made on this base.",
            ),
            models.CheckConstraint(
                condition=Q(rated_c__isnull=True)
                | Q(fibre="heat_friendly")
                | Q(fibre="blend", synthetic_part="heat_friendly"),
                name="piece_rated_only_if_it_takes_heat",
                violation_error_message="Only a heat-friendly fibre has a rated temperature.",
            ),
            models.CheckConstraint(
                condition=Q(fibre="blend") & ~Q(synthetic_part="") | ~Q(fibre="blend") & Q(synthetic_part=""),
                name="piece_blend_names_its_synthetic_part",
                violation_error_message="A blend names its synthetic part, and only a blend has one.",
            ),
            models.CheckConstraint(
                condition=Q(colourable="") | Q(fibre__in=["human", "blend"]),
                name="piece_colourable_only_with_human_hair",
                violation_error_message="Only a piece with human hair can be marked colourable or not.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
