"""A piece that is on its way for a client, and whether it has come."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from clients.models import Client
from pieces.models import OrderLine, Variant
from salon.models import User


class AwaitedPieceQuerySet(models.QuerySet["AwaitedPiece"]):
    def still_awaited(self) -> AwaitedPieceQuerySet:
        """Those that have not come in and are still wanted."""
        return self.filter(in_at__isnull=True, given_up_at__isnull=True)


class AwaitedPiece(models.Model):
    """What the desk is told to expect; a visit that is for this piece is not ready before it is in."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="awaited_pieces")
    what = models.CharField("which piece", max_length=120)
    variant = models.ForeignKey(Variant, models.PROTECT, related_name="+", null=True, blank=True)
    order_line = models.OneToOneField(
        OrderLine, models.PROTECT, related_name="awaited", null=True, blank=True, verbose_name="ordered in"
    )
    expected_on = models.DateField("expected on", null=True, blank=True)
    noted_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()
    in_at = models.DateTimeField("came in", null=True, blank=True)
    in_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    given_up_at = models.DateTimeField("no longer wanted since", null=True, blank=True)
    given_up_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    objects: ClassVar[AwaitedPieceQuerySet] = AwaitedPieceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["expected_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(in_at__isnull=True, in_by__isnull=True)
                | Q(in_at__gte=F("noted_at"), in_by__isnull=False, given_up_at__isnull=True),
                name="awaited_piece_came_in_after_it_was_noted",
                violation_error_message="A piece comes in after it was noted, and somebody takes it in.",
            ),
            models.CheckConstraint(
                condition=Q(given_up_at__isnull=True, given_up_by__isnull=True)
                | Q(given_up_at__isnull=False, given_up_by__isnull=False),
                name="awaited_piece_given_up_by_somebody",
                violation_error_message="Somebody says that a piece is no longer wanted.",
            ),
        ]

    def __str__(self) -> str:
        return self.what
