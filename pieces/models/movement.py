"""The ledger of the stock: every move of a unit, in order.

A movement is written once by `pieces.stock` and never changed or deleted; the unit's own state only repeats where the
last one led to. Whose a unit is while it is out is for `fittings` to say.
"""

from __future__ import annotations

from typing import Any, ClassVar, NoReturn

from django.db import models
from django.db.models import Count, F, Q

from clients.models import Client
from pieces.models.counting import Stocktake
from pieces.models.maker_order import OrderLine
from pieces.models.sale import SaleLine
from pieces.models.stock import Unit
from salon.models import User


class StockMovementQuerySet(models.QuerySet["StockMovement"]):
    def in_order(self) -> StockMovementQuerySet:
        return self.order_by("unit", "seq")

    def told(self) -> StockMovementQuerySet:
        """The newest first, with what each was for."""
        return self.order_by("-seq").select_related(
            "for_client", "order_line__order", "sale_line__sale", "stocktake", "by"
        )

    def counts(self) -> dict[str, int]:
        """How many units are in each state, summed from the movements alone: what came there less what left."""
        came, left = (
            dict(self.order_by().values_list(side).annotate(units=Count("pk"))) for side in ("to_state", "from_state")
        )
        return {str(state): came.get(state, 0) - left.get(state, 0) for state in Unit.State}

    def update(self, **_: Any) -> NoReturn:
        raise TypeError("A movement of the stock is never changed; write another.")

    def delete(self) -> NoReturn:
        raise TypeError("A movement of the stock is never deleted; write another.")


class StockMovement(models.Model):
    class Kind(models.TextChoices):
        BEFORE = "before", "From before movements were kept"
        RECEIVED = "received", "Came in"
        BROUGHT = "brought", "Brought by a client"
        SET_ASIDE = "set aside", "Set aside"
        PUT_BACK = "put back", "Put back"
        LENT = "lent", "Lent"
        SOLD = "sold", "Sold and handed over"
        TAKEN_HOME = "taken home", "Taken home"
        CAME_BACK = "came back", "Came back"
        TO_CLEAN = "to clean", "To be cleaned"
        CLEANED = "cleaned", "Cleaned"
        KEPT_APART = "kept apart", "Kept apart"
        LET_IN = "let in", "Fit for the drawer again"
        WRITTEN_OFF = "written off", "Written off"
        NOT_FOUND = "not found", "Not found when counted"
        FOUND = "found", "Found when counted"

    NEEDS_A_REASON: ClassVar = (Kind.KEPT_APART, Kind.WRITTEN_OFF, Kind.NOT_FOUND, Kind.FOUND)

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="movements")
    seq = models.PositiveIntegerField("which of its movements")
    kind = models.CharField(max_length=11, choices=Kind.choices)
    from_state = models.CharField(max_length=11, choices=Unit.State.choices, blank=True)
    to_state = models.CharField(max_length=11, choices=Unit.State.choices)
    for_client = models.ForeignKey(Client, models.PROTECT, related_name="stock_movements", null=True, blank=True)
    for_visit = models.CharField("reference of the visit it is for", max_length=16, blank=True)
    order_line = models.ForeignKey(OrderLine, models.PROTECT, related_name="movements", null=True, blank=True)
    sale_line = models.ForeignKey(SaleLine, models.PROTECT, related_name="movements", null=True, blank=True)
    stocktake = models.ForeignKey(Stocktake, models.PROTECT, related_name="movements", null=True, blank=True)
    because = models.CharField("why", max_length=240, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    objects: ClassVar[StockMovementQuerySet] = StockMovementQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["at"], name="stock_movement_by_day"),
            models.Index(fields=["unit"], condition=Q(kind="brought"), name="stock_movement_brought"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "seq"],
                name="stock_movement_one_at_a_time",
                violation_error_message="This unit was moved by somebody else just now.",
            ),
            models.CheckConstraint(
                condition=Q(seq=0, from_state="") | Q(seq__gt=0) & ~Q(from_state=""),
                name="stock_movement_first_comes_from_outside",
                violation_error_message="A unit's first movement brings it in; every other takes it from where it was.",
            ),
            models.CheckConstraint(
                condition=~Q(from_state=F("to_state")),
                name="stock_movement_leads_somewhere_else",
                violation_error_message="A movement leads somewhere else.",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["kept apart", "written off", "not found", "found"]) | ~Q(because=""),
                name="stock_movement_says_why",
                violation_error_message="Write why.",
            ),
            models.CheckConstraint(
                condition=Q(by__isnull=False) | Q(kind="before"),
                name="stock_movement_by_somebody",
                violation_error_message="Somebody moves a unit.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_kind_display()}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError("A movement of the stock is never changed; write another.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("A movement of the stock is never deleted; write another.")
