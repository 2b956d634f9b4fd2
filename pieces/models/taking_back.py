"""Returns: which piece came back, why, in what state, what became of it and of the money."""

from __future__ import annotations

from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Count, Q
from django.db.models.functions import Lower

from pieces.models.sale import Payment, Sale, SaleLine
from salon.models import User


class ReturnReasonQuerySet(models.QuerySet["ReturnReason"]):
    def in_use(self) -> ReturnReasonQuerySet:
        return self.filter(is_in_use=True)

    def with_times_named(self) -> ReturnReasonQuerySet:
        """Adds `times_named`: how many returns name it."""
        return self.annotate(times_named=Count("returns"))


class ReturnReason(models.Model):
    """One of the salon's own short list of reasons."""

    name = models.CharField(max_length=60)
    position = models.PositiveSmallIntegerField(default=0)
    is_in_use = models.BooleanField("in use", default=True)

    objects: ClassVar[ReturnReasonQuerySet] = ReturnReasonQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="return_reason_name_once",
                violation_error_message="That reason is on the list already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class ReturnQuerySet(models.QuerySet["Return"]):
    def outside_the_terms(self) -> ReturnQuerySet:
        """Those that somebody allowed although the salon's terms refuse them."""
        return self.filter(in_policy=False)

    def with_what_they_are(self) -> ReturnQuerySet:
        """Read together with the sale, whose it was, the unit, the reason and who took it back."""
        return self.select_related("line__sale__client", "line__unit", "reason", "allowed_by", "exchanged_for", "by")


class Return(models.Model):
    """A piece that was taken back; written once, with the salon's terms of that day."""

    class Fate(models.TextChoices):
        DRAWER = "drawer", "Back in the drawer"
        CLEANING = "cleaning", "To be cleaned"
        APART = "kept apart", "Kept apart"
        GONE = "gone", "Written off"

    line = models.OneToOneField(SaleLine, models.PROTECT, related_name="taken_back")
    reason = models.ForeignKey(ReturnReason, models.PROTECT, related_name="returns")
    said = models.CharField("in her words", max_length=500, blank=True)
    seal_broken = models.BooleanField("seal broken", default=False)
    worn = models.BooleanField("worn", default=False)
    cut = models.BooleanField("cut in", default=False)
    coloured = models.BooleanField("coloured", default=False)
    days_since = models.PositiveIntegerField("days since it was handed over")
    terms = models.JSONField(encoder=DjangoJSONEncoder, default=dict, help_text="The salon's terms of that day.")
    in_policy = models.BooleanField("within the salon's terms")
    allowed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    allowed_because = models.CharField("why it was taken back all the same", max_length=240, blank=True)
    fate = models.CharField("what becomes of it", max_length=10, choices=Fate.choices)
    refund_minor = models.PositiveIntegerField("given back", default=0)
    payment = models.OneToOneField(Payment, models.PROTECT, related_name="of_return", null=True, blank=True)
    exchanged_for = models.ForeignKey(
        Sale, models.PROTECT, related_name="exchanged_from", null=True, blank=True, help_text="What she took instead."
    )
    at = models.DateTimeField()
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    once = models.UUIDField(
        "key of the form that took it back",
        unique=True,
        null=True,
        blank=True,
        help_text="A form sent twice counts once.",
    )

    objects: ClassVar[ReturnQuerySet] = ReturnQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["at"], name="return_by_day")]
        permissions = [("allow_return", "May take back what the salon's terms refuse")]
        constraints = [
            models.CheckConstraint(
                condition=Q(in_policy=True, allowed_by__isnull=True, allowed_because="")
                | Q(in_policy=False, allowed_by__isnull=False) & ~Q(allowed_because=""),
                name="return_outside_the_terms_is_allowed_by_somebody",
                violation_error_message="Outside the salon's terms an owner allows it, with a written reason.",
            ),
            models.CheckConstraint(
                condition=Q(refund_minor=0, payment__isnull=True) | Q(refund_minor__gt=0, payment__isnull=False),
                name="return_refund_is_a_payment",
                violation_error_message="What is given back is a payment of its own.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.line} taken back"
