"""Orders to makers: what was asked for, when, what has come of it, and for whom a line was ordered specially.

An order is a draft, is sent, comes in by parts and is closed; each step is a deed of `pieces.ordering`.
"""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, F, Q, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from clients.models import Client
from pieces.models.base import Maker
from pieces.models.stock import Unit, Variant
from salon.common.references import new_reference
from salon.models import User


def _order_reference() -> str:
    return new_reference("M")


class MakerOrderQuerySet(models.QuerySet["MakerOrder"]):
    def on_the_way(self) -> MakerOrderQuerySet:
        """Sent and not closed: something may still come."""
        return self.filter(state__in=MakerOrder.ON_THE_WAY)

    def with_counts(self) -> MakerOrderQuerySet:
        """Adds how many units are `ordered`, how many are `here`, and how many lines are for a client (`specials`)."""
        return self.annotate(
            ordered=Coalesce(Sum("lines__count"), 0),
            here=Coalesce(Sum("lines__received_count"), 0),
            specials=Count("lines__for_client"),
        )


class MakerOrder(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        SENT = "sent", "Sent"
        PART_RECEIVED = "part received", "Part received"
        CLOSED = "closed", "Closed"
        DROPPED = "dropped", "Dropped before it was sent"

    ON_THE_WAY: ClassVar = (State.SENT, State.PART_RECEIVED)

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_order_reference)
    maker = models.ForeignKey(Maker, models.PROTECT, related_name="orders")
    state = models.CharField(max_length=13, choices=State.choices, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    note = models.CharField(max_length=240, blank=True)
    expected_on = models.DateField("expected on", null=True, blank=True)
    drafted_at = models.DateTimeField()
    drafted_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    closed_because = models.CharField("why it was closed", max_length=240, blank=True)
    once = models.UUIDField(
        "key of the form that made it", unique=True, null=True, blank=True, help_text="A form sent twice drafts once."
    )

    objects: ClassVar[MakerOrderQuerySet] = MakerOrderQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-drafted_at", "-pk"]
        indexes = [models.Index(fields=["state", "expected_on"], name="maker_order_by_state")]
        constraints = [
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"),
                name="maker_order_currency_is_a_code",
                violation_error_message="A currency is three capital letters, such as GBP.",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["draft", "dropped"], sent_at__isnull=True, sent_by__isnull=True)
                | Q(
                    state__in=["sent", "part received", "closed"],
                    sent_at__gte=F("drafted_at"),
                    sent_by__isnull=False,
                ),
                name="maker_order_sent_by_somebody",
                violation_error_message="An order that was sent says when and by whom.",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["closed", "dropped"], closed_at__isnull=False, closed_by__isnull=False)
                | Q(
                    state__in=["draft", "sent", "part received"],
                    closed_at__isnull=True,
                    closed_by__isnull=True,
                    closed_because="",
                ),
                name="maker_order_closed_by_somebody",
                violation_error_message="An order that is closed says when and by whom.",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("maker-order", args=[self.reference])

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    @property
    def is_on_the_way(self) -> bool:
        return self.state in self.ON_THE_WAY


class OrderLineQuerySet(models.QuerySet["OrderLine"]):
    def still_to_come(self) -> OrderLineQuerySet:
        """Lines of orders that were sent of which not all has come."""
        return self.filter(order__state__in=MakerOrder.ON_THE_WAY, received_count__lt=F("count"))

    def for_clients(self) -> OrderLineQuerySet:
        """Lines ordered specially for somebody."""
        return self.filter(for_client__isnull=False)


class OrderLine(models.Model):
    """So many units of one variant; one that is for a client is a single unit, and is hers when it comes."""

    order = models.ForeignKey(MakerOrder, models.CASCADE, related_name="lines")
    variant = models.ForeignKey(Variant, models.PROTECT, related_name="order_lines")
    purpose = models.CharField(max_length=6, choices=Unit.Purpose.choices, default=Unit.Purpose.SALE)
    count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(500)])
    received_count = models.PositiveSmallIntegerField("received", default=0)
    cost_minor = models.PositiveIntegerField("cost of one", null=True, blank=True)
    for_client = models.ForeignKey(Client, models.PROTECT, related_name="order_lines", null=True, blank=True)
    expected_on = models.DateField("expected on", null=True, blank=True, help_text="Empty: as the whole order.")
    note = models.CharField(max_length=240, blank=True)

    objects: ClassVar[OrderLineQuerySet] = OrderLineQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=500),
                name="order_line_1_to_500",
                violation_error_message="Write a number from 1 to 500.",
            ),
            models.CheckConstraint(
                condition=Q(received_count__lte=F("count")),
                name="order_line_no_more_received_than_ordered",
                violation_error_message="No more can come in than was ordered.",
            ),
            models.CheckConstraint(
                condition=Q(for_client__isnull=True) | Q(count=1, purpose="sale"),
                name="order_line_special_is_one_for_sale",
                violation_error_message="A special order is for one piece, to be sold.",
            ),
            models.UniqueConstraint(
                fields=["order", "variant", "purpose"],
                condition=Q(for_client__isnull=True),
                name="order_line_once_of_a_variant",
                violation_error_message="This piece is on the order already; change how many.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.variant}"

    @property
    def to_come(self) -> int:
        return self.count - self.received_count

    @property
    def comes_on(self) -> date | None:
        """The day this line is expected, or that of the whole order. Fetch the order."""
        return self.expected_on or self.order.expected_on
