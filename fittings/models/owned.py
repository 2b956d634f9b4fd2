"""A unit that belongs to a client: since when, how it is fixed now, which other piece it takes turns with.

How it is worn is told in entries (`wearing`), what is done to it in services, what was found in checks (`condition`).
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Count, F, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from clients.models import Client
from fittings.models.fitting import Candidate
from pieces.models import Unit
from salon.common.references import new_reference
from salon.models import User


def _owned_reference() -> str:
    return new_reference("O")


class OwnedPieceQuerySet(models.QuerySet["OwnedPiece"]):
    def current(self) -> OwnedPieceQuerySet:
        """Those a client has now."""
        return self.filter(until__isnull=True)

    def with_what_they_are(self) -> OwnedPieceQuerySet:
        """Fetched with unit, piece, base, maker and shade, so that each can be named and drawn."""
        return self.select_related("unit__variant__piece__base__maker", "unit__variant__shade", "partner")

    def lasted(self, today: date) -> Iterable[tuple[int, bool, int]]:
        """(days it was hers so far, whether it wore out, how many such pieces): one for each pair of days there is."""
        begun = self.filter(since__lte=today).order_by()
        rows = begun.values_list("since", "until", "ended").annotate(pieces=Count("pk"))
        return (
            (((until or today) - since).days, ended == OwnedPiece.Ended.WORN_OUT, pieces)
            for since, until, ended, pieces in rows
        )


class OwnedPiece(models.Model):
    class Ended(models.TextChoices):
        """Why she no longer has it; only the first counts as the end of the piece's own life."""

        WORN_OUT = "worn out", "Worn out"
        LOSS_MOVED = "outgrown", "No longer covers"
        RETURNED = "returned", "Given back to the salon"
        LOST = "lost", "Lost or damaged at home"
        NOT_WORN = "not worn", "No longer worn"

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_owned_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="owned_pieces")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="owned_pieces")
    candidate = models.ForeignKey(
        Candidate,
        models.PROTECT,
        related_name="owned_pieces",
        null=True,
        blank=True,
        help_text="Where it was placed when she chose it; none for a piece she brought.",
    )
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    ended = models.CharField("why it ended", max_length=8, choices=Ended.choices, blank=True)
    ended_note = models.CharField(max_length=240, blank=True)
    clips = models.JSONField(
        "clips now",
        encoder=DjangoJSONEncoder,
        default=list,
        blank=True,
        help_text="Where each clip sits: u_mm from the front edge, v_mm from the midline (left positive), length_mm.",
    )
    tape = models.JSONField(
        "tape now",
        encoder=DjangoJSONEncoder,
        default=list,
        blank=True,
        help_text="Each taped area: where in words, product, and since which day.",
    )
    partner = models.OneToOneField(
        "self", models.PROTECT, related_name="+", null=True, blank=True, verbose_name="takes turns with"
    )
    care_worked_out_at = models.DateTimeField("its dates were worked out", null=True, blank=True, editable=False)
    begun_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    begun_at = models.DateTimeField()
    ended_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords(excluded_fields=["care_worked_out_at"])  # that dates were worked out is no news of hers
    objects: ClassVar[OwnedPieceQuerySet] = OwnedPieceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-since", "-pk"]
        verbose_name = "piece she owns"
        verbose_name_plural = "pieces she owns"
        indexes = [
            models.Index(fields=["client", "until"], name="owned_piece_of_a_client"),
            models.Index(
                fields=["care_worked_out_at"], condition=Q(until__isnull=True), name="owned_piece_by_care_worked_out"
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"],
                condition=Q(until__isnull=True),
                name="owned_piece_unit_of_one_client_at_once",
                violation_error_message="This unit belongs to a client already.",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True, ended="", ended_by__isnull=True, ended_at__isnull=True)
                | (
                    Q(until__gte=F("since"), ended_by__isnull=False, ended_at__isnull=False)
                    & Q(ended__in=["worn out", "outgrown", "returned", "lost", "not worn"])
                ),
                name="owned_piece_ended_after_it_began",
                violation_error_message="A piece is hers until a day not before the first, and it says why it ended.",
            ),
            models.CheckConstraint(
                condition=Q(partner__isnull=True) | ~Q(partner=F("id")),
                name="owned_piece_takes_turns_with_another",
                violation_error_message="A piece takes turns with another piece, not with itself.",
            ),
            models.CheckConstraint(
                condition=Q(partner__isnull=True) | Q(until__isnull=True),
                name="owned_piece_takes_turns_while_it_is_hers",
                violation_error_message="A piece that is no longer hers takes turns with none.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit.variant.piece} ({self.unit.number})"

    def get_absolute_url(self) -> str:
        return reverse("owned-piece", args=[self.reference])

    @property
    def is_hers(self) -> bool:
        return self.until is None


class Loan(models.Model):
    """A unit of the salon's that a client wears meanwhile."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="loans")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="loans")
    instead_of = models.ForeignKey(
        OwnedPiece, models.PROTECT, related_name="loans", null=True, blank=True, verbose_name="while hers is away"
    )
    lent_on = models.DateField()
    due_back_on = models.DateField("due back on")
    back_on = models.DateField("came back on", null=True, blank=True)
    note = models.CharField(max_length=240, blank=True)
    lent_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    lent_at = models.DateTimeField()
    back_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-lent_on", "-pk"]
        indexes = [models.Index(fields=["due_back_on"], name="loan_by_due")]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"],
                condition=Q(back_on__isnull=True),
                name="loan_unit_lent_once_at_a_time",
                violation_error_message="This unit is lent out already.",
            ),
            models.CheckConstraint(
                condition=Q(due_back_on__gte=F("lent_on")),
                name="loan_due_after_it_began",
                violation_error_message="A loan is due back on or after the day it began.",
            ),
            models.CheckConstraint(
                condition=Q(back_on__isnull=True, back_by__isnull=True, back_at__isnull=True)
                | Q(back_on__gte=F("lent_on"), back_by__isnull=False, back_at__isnull=False),
                name="loan_back_after_it_began",
                violation_error_message="A lent unit comes back on or after that day, and somebody takes it in.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} lent to {self.client.reference}"
