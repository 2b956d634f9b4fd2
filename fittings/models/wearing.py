"""How an owned piece is worn and when it was washed, in dated entries, and the address by which a client tells it."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from clients.models.assessment import YesNo
from fittings.models.entry import Entry, EntryQuerySet
from fittings.models.fitting import Fitting
from fittings.models.owned import OwnedPiece
from salon.models import User


class WearEntry(Entry):
    """What she tells of how she wears it from that day on. Empty means not asked."""

    class Water(models.TextChoices):
        SOFT = "soft", "Soft"
        HARD = "hard", "Hard"

    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="wear_entries")
    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="wear_entries", null=True, blank=True)
    told_on = models.DateField()
    days_per_week = models.PositiveSmallIntegerField(
        "days a week", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(7)]
    )
    hours_per_day = models.DecimalField(
        "hours a day",
        max_digits=3,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
    )
    worn_to_bed = models.CharField("slept in", max_length=3, choices=YesNo.choices, blank=True)
    swum_in = models.CharField("swum in", max_length=3, choices=YesNo.choices, blank=True)
    water = models.CharField("water at home", max_length=4, choices=Water.choices, blank=True)
    note = models.CharField(max_length=240, blank=True)
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    objects: ClassVar[EntryQuerySet] = EntryQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-told_on", "-pk"]
        verbose_name = "word on how it is worn"
        verbose_name_plural = "words on how it is worn"
        constraints = [
            *Entry.Meta.constraints,
            models.CheckConstraint(
                condition=Q(days_per_week__isnull=True) | Q(days_per_week__gte=0, days_per_week__lte=7),
                name="wear_entry_days_of_a_week",
                violation_error_message="A week has 0 to 7 days to wear it.",
            ),
            models.CheckConstraint(
                condition=Q(hours_per_day__isnull=True) | Q(hours_per_day__gte=0, hours_per_day__lte=24),
                name="wear_entry_hours_of_a_day",
                violation_error_message="A day has 0 to 24 hours to wear it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owned_piece.reference} as worn from {self.told_on}"


class WashLinkQuerySet(models.QuerySet["WashLink"]):
    def live(self) -> WashLinkQuerySet:
        return self.filter(revoked_at__isnull=True, owned_piece__until__isnull=True)


class WashLink(models.Model):
    """A secret address with which a client tells of a wash; kept as a digest, until it is taken back."""

    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="wash_links")
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    used_at = models.DateTimeField("last used", null=True, blank=True)
    revoked_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar[WashLinkQuerySet] = WashLinkQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["owned_piece"],
                condition=Q(revoked_at__isnull=True),
                name="wash_link_one_of_a_piece",
                violation_error_message="This piece has its address already; take that one back first.",
            ),
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False),
                name="wash_link_taken_back_by_somebody",
                violation_error_message="An address is taken back by somebody, at a time.",
            ),
        ]

    def __str__(self) -> str:
        return f"address of {self.owned_piece.reference}"


class Wash(Entry):
    """The piece was washed on a day: in the salon, as she told it, or by her own address."""

    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="washes")
    washed_on = models.DateField()
    deep_care = models.BooleanField("with deep care", default=False)
    service = models.OneToOneField(
        "fittings.Service", models.PROTECT, related_name="wash", null=True, blank=True, verbose_name="done in the salon"
    )
    link = models.ForeignKey(WashLink, models.PROTECT, related_name="washes", null=True, blank=True)
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    recorded_at: models.DateTimeField[datetime, datetime] = models.DateTimeField()

    objects: ClassVar[EntryQuerySet] = EntryQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-washed_on", "-pk"]
        verbose_name_plural = "washes"
        constraints = [
            *Entry.Meta.constraints,
            models.CheckConstraint(
                condition=Q(link__isnull=True, recorded_by__isnull=False)
                | Q(link__isnull=False, recorded_by__isnull=True, service__isnull=True),
                name="wash_told_by_somebody",
                violation_error_message="A wash is told by somebody of the salon or by the client's own address.",
            ),
            models.UniqueConstraint(
                fields=["owned_piece", "washed_on"],
                condition=Q(link__isnull=False),
                name="wash_told_once_a_day_by_the_client",
                violation_error_message="She has told of a wash on that day already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owned_piece.reference} washed on {self.washed_on}"
