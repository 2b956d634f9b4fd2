"""What the salon charges for besides pieces, and the rates of tax; the owner keeps both.

No rate and no relief is built in: what applies where is for the owner and her adviser to say.
"""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

MOST_BASIS_POINTS = 10_000


class TaxRateQuerySet(models.QuerySet["TaxRate"]):
    def in_use(self) -> TaxRateQuerySet:
        return self.filter(is_in_use=True)

    def usual(self) -> TaxRate | None:
        """The one that stands on a line when nobody chooses another; None where the salon reckons with no tax."""
        return self.in_use().filter(is_usual=True).first()


class TaxRate(models.Model):
    """A rate by the name it has on receipts; 2,000 basis points are 20 %."""

    name = models.CharField(max_length=40)
    basis_points = models.PositiveSmallIntegerField(
        "rate", validators=[MaxValueValidator(MOST_BASIS_POINTS)], help_text="In hundredths of a percent."
    )
    is_usual = models.BooleanField("the usual one", default=False)
    is_in_use = models.BooleanField("in use", default=True)
    asks_for_declaration = models.BooleanField(
        "only with the customer's own declaration",
        default=False,
        help_text="The sale then asks whether she has signed what your tax office wants.",
    )

    history = HistoricalRecords()
    objects: ClassVar[TaxRateQuerySet] = TaxRateQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-is_usual", "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="tax_rate_name_once",
                violation_error_message="There is a rate of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(basis_points__lte=MOST_BASIS_POINTS),
                name="tax_rate_at_most_100_percent",
                violation_error_message="A rate lies between 0 and 100 %.",
            ),
            models.UniqueConstraint(
                fields=["is_usual"],
                condition=Q(is_usual=True),
                name="tax_rate_one_usual",
                violation_error_message="Another rate is the usual one.",
            ),
            models.CheckConstraint(
                condition=Q(is_usual=False) | Q(is_in_use=True, asks_for_declaration=False),
                name="tax_rate_usual_is_in_use",
                violation_error_message="The usual rate is in use and asks for no declaration.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PricedServiceQuerySet(models.QuerySet["PricedService"]):
    def in_use(self) -> PricedServiceQuerySet:
        return self.filter(is_in_use=True)


class PricedService(models.Model):
    """One thing of the price list that is not a piece: a cut-in, a colour, a brush."""

    name = models.CharField(max_length=80)
    price_minor = models.PositiveIntegerField("price")
    tax_rate = models.ForeignKey(
        TaxRate, models.PROTECT, related_name="+", null=True, blank=True, help_text="Empty: the usual one."
    )
    done_as = models.CharField(
        "stands for",
        max_length=8,
        blank=True,
        help_text="The kind of service it is proposed for after a visit in which that was done.",
    )
    is_in_use = models.BooleanField("on the price list", default=True)

    history = HistoricalRecords()
    objects: ClassVar[PricedServiceQuerySet] = PricedServiceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="priced_service_name_once",
                violation_error_message="That is on the price list already.",
            )
        ]

    def __str__(self) -> str:
        return self.name
