"""Sales, what stands on each, the money that came and went, and the numbered receipts.

Written once by `pieces.selling` and `pieces.paying`; a mistake is answered by a cancellation, a return or money back.
Money is whole minor units of the sale's currency; what comes in is positive, what goes out negative.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from clients.models import Client
from pieces.models.maker_order import OrderLine
from pieces.models.price_list import PricedService
from pieces.models.stock import Unit, Variant
from salon.common.references import new_reference
from salon.models import User


def _sale_reference() -> str:
    return new_reference("S")


class SaleQuerySet(models.QuerySet["Sale"]):
    def standing(self) -> SaleQuerySet:
        """Not cancelled."""
        return self.filter(cancelled_at__isnull=True)

    def with_money(self) -> SaleQuerySet:
        """Adds `total_minor` (what its lines come to) and `paid_minor` (what came in less what went back)."""
        lines = SaleLine.objects.filter(sale=models.OuterRef("pk"), taken_back__isnull=True).order_by()
        paid = Payment.objects.filter(sale=models.OuterRef("pk")).order_by()
        return self.annotate(
            total_minor=_sum_of(lines, "total_minor"),
            paid_minor=_sum_of(paid, "amount_minor"),
        )

    def owing(self) -> SaleQuerySet:
        """Standing, with money still to come."""
        return self.standing().with_money().filter(paid_minor__lt=F("total_minor"))  # type: ignore[misc]  # annotated just now


def _sum_of(rows: models.QuerySet[models.Model], field: str) -> Coalesce:
    summed = rows.values("sale").annotate(summed=Sum(field)).values("summed")
    return Coalesce(models.Subquery(summed, output_field=models.BigIntegerField()), 0)


class Sale(models.Model):
    """What a client takes, agreed at one moment; it may be paid and handed over by parts."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_sale_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="sales")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="sales", null=True, blank=True)
    currency = models.CharField(max_length=3)
    prices_include_tax = models.BooleanField(default=True)
    note = models.CharField(max_length=240, blank=True)
    agreed_at = models.DateTimeField()
    agreed_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    cancelled_because = models.CharField("why it was cancelled", max_length=240, blank=True)
    taken_out_of = models.ForeignKey(
        "self",
        models.PROTECT,
        related_name="taken_out",
        null=True,
        blank=True,
        help_text="One thing that she takes no longer; the rest of that sale stands, and this is cancelled.",
    )
    once = models.UUIDField(
        "key of the form that made it", unique=True, null=True, blank=True, help_text="A form sent twice sells once."
    )

    objects: ClassVar[SaleQuerySet] = SaleQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-agreed_at", "-pk"]
        indexes = [models.Index(fields=["agreed_at"], name="sale_by_day")]
        permissions = [("review_sale", "May see the owner's review, costs and margins")]
        constraints = [
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"),
                name="sale_currency_is_a_code",
                violation_error_message="A currency is three capital letters, such as GBP.",
            ),
            models.CheckConstraint(
                condition=Q(cancelled_at__isnull=True, cancelled_by__isnull=True, cancelled_because="")
                | Q(cancelled_at__gte=F("agreed_at"), cancelled_by__isnull=False) & ~Q(cancelled_because=""),
                name="sale_cancelled_by_somebody_with_a_reason",
                violation_error_message="A sale is cancelled by somebody, after it was agreed, with a reason.",
            ),
            models.CheckConstraint(
                condition=Q(taken_out_of__isnull=True) | Q(cancelled_at__isnull=False),
                name="sale_taken_out_is_cancelled",
                violation_error_message="What was taken out of a sale counts no longer.",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("sale", args=[self.reference])

    @property
    def is_cancelled(self) -> bool:
        return self.cancelled_at is not None


class SaleLineQuerySet(models.QuerySet["SaleLine"]):
    def of_pieces(self) -> SaleLineQuerySet:
        return self.filter(variant__isnull=False)

    def with_sale(self) -> SaleLineQuerySet:
        """Read together with the sale, whose it is, and what the piece is."""
        return self.select_related("sale__client", "unit", "variant__piece", "variant__shade")

    def sold(self) -> SaleLineQuerySet:
        """Pieces that were handed over, whether or not they came back."""
        return self.of_pieces().filter(handed_over_at__isnull=False)

    def to_hand_over(self) -> SaleLineQuerySet:
        """Pieces agreed on and still in the salon or on their way."""
        return self.of_pieces().filter(handed_over_at__isnull=True, is_live=True)

    def waiting_for(self, order_lines: Iterable[OrderLine]) -> SaleLineQuerySet:
        """Agreed with a client, of pieces that are to come with these lines of orders."""
        return self.filter(order_line__in=list(order_lines), is_live=True, unit__isnull=True)


class SaleLine(models.Model):
    """One unit, one special order or one thing of the price list, with its money and, for a piece, how it fitted then.

    The measurements are those of the visit in which it was chosen, kept here so that a return can be held against them.
    """

    sale = models.ForeignKey(Sale, models.PROTECT, related_name="lines")
    says = models.CharField("as printed", max_length=200)
    variant = models.ForeignKey(Variant, models.PROTECT, related_name="sale_lines", null=True, blank=True)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="sale_lines", null=True, blank=True)
    order_line = models.OneToOneField(
        OrderLine,
        models.PROTECT,
        related_name="sale_line",
        null=True,
        blank=True,
        help_text="The special order it waits for, or waited for.",
    )
    service = models.ForeignKey(PricedService, models.PROTECT, related_name="sale_lines", null=True, blank=True)
    count = models.PositiveSmallIntegerField(default=1)
    price_minor = models.PositiveIntegerField("price of one")
    discount_minor = models.PositiveIntegerField("discount on the line", default=0)
    discount_because = models.CharField("why", max_length=120, blank=True)
    tax_name = models.CharField(max_length=40, blank=True)
    tax_basis_points = models.PositiveSmallIntegerField(default=0)
    tax_declared = models.BooleanField("she declared what this rate asks for", default=False)
    tax_minor = models.PositiveIntegerField("tax", default=0)
    total_minor = models.PositiveIntegerField("to pay, with tax")
    cost_minor = models.PositiveIntegerField("what it cost the salon", null=True, blank=True)
    is_live = models.BooleanField(
        default=True, editable=False, help_text="Until the sale is cancelled or the piece is taken back."
    )
    handed_over_at = models.DateTimeField(null=True, blank=True)
    handed_over_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    # how it fitted when it was chosen; empty where nobody measured
    visit_reference = models.CharField("chosen in the visit", max_length=16, blank=True)
    cover = models.FloatField(null=True, blank=True)
    margin_mm = models.FloatField(null=True, blank=True)
    clips_holding = models.PositiveSmallIntegerField(null=True, blank=True)
    clips_total = models.PositiveSmallIntegerField(null=True, blank=True)
    colour_difference = models.FloatField("colour difference (ΔE00)", null=True, blank=True)
    length_step_mm = models.SmallIntegerField("longer than she wished by", null=True, blank=True)
    is_first_piece = models.BooleanField("her first piece", null=True, blank=True)

    objects: ClassVar[SaleLineQuerySet] = SaleLineQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["sale", "pk"]
        indexes = [
            models.Index(fields=["handed_over_at"], name="sale_line_by_handing_over"),
            # the review adds up years of lines from these two alone, without a look at the rows themselves
            models.Index(
                fields=["variant", "handed_over_at", "is_live", "total_minor", "tax_minor", "cost_minor", "unit"],
                name="sale_line_summed_by_variant",
            ),
            models.Index(fields=["visit_reference", "handed_over_at", "variant"], name="sale_line_summed_by_visit"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"],
                condition=Q(is_live=True, unit__isnull=False),
                name="sale_line_unit_in_one_live_sale",
                violation_error_message="This unit is in another sale already.",
            ),
            models.CheckConstraint(
                condition=Q(variant__isnull=True, unit__isnull=True, order_line__isnull=True)
                | Q(variant__isnull=False, service__isnull=True, count=1),
                name="sale_line_one_piece_or_a_service",
                violation_error_message="A line sells one piece, or something of the price list.",
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=99),
                name="sale_line_1_to_99",
                violation_error_message="Write a number from 1 to 99.",
            ),
            models.CheckConstraint(
                condition=Q(discount_minor__lte=F("price_minor") * F("count")),
                name="sale_line_discount_within_the_price",
                violation_error_message="A discount is no larger than the price.",
            ),
            models.CheckConstraint(
                condition=Q(discount_minor=0) | ~Q(discount_because=""),
                name="sale_line_discount_has_a_reason",
                violation_error_message="Write why a discount is given.",
            ),
            models.CheckConstraint(
                condition=Q(tax_minor__lte=F("total_minor")),
                name="sale_line_tax_within_the_total",
                violation_error_message="Tax is a part of what is to be paid.",
            ),
            models.CheckConstraint(
                condition=Q(handed_over_at__isnull=True, handed_over_by__isnull=True)
                | Q(handed_over_at__isnull=False, handed_over_by__isnull=False)
                & (Q(variant__isnull=True) | Q(unit__isnull=False)),
                name="sale_line_handed_over_by_somebody",
                violation_error_message="Somebody hands a piece over, and it is a unit that lies here.",
            ),
            models.CheckConstraint(
                condition=(Q(cover__isnull=True) | Q(cover__gte=0, cover__lte=1))
                & (Q(clips_holding__isnull=True, clips_total__isnull=True) | Q(clips_holding__lte=F("clips_total"))),
                name="sale_line_measured_as_can_be",
                violation_error_message="Cover is a share between 0 and 1, and no more clips hold than there are.",
            ),
        ]

    def __str__(self) -> str:
        return self.says


class PaymentQuerySet(models.QuerySet["Payment"]):
    def held(self) -> PaymentQuerySet:
        """Deposits that count towards no sale yet, whether or not they were given back."""
        return self.filter(sale__isnull=True)

    def deposits_held(self) -> PaymentQuerySet:
        """Deposits that count towards no sale and were not given back."""
        return self.held().filter(is_deposit=True, given_back_by__isnull=True)


class Payment(models.Model):
    """Money that came in (positive) or went back (negative). One without a sale is a deposit that is held for her."""

    class Method(models.TextChoices):
        CASH = "cash", "Cash"
        CARD = "card", "Card"
        TRANSFER = "transfer", "Bank transfer"
        OTHER = "other", "Another way"
        EXCHANGE = "exchange", "Against another sale"

    client = models.ForeignKey(Client, models.PROTECT, related_name="payments")
    sale = models.ForeignKey(Sale, models.PROTECT, related_name="payments", null=True, blank=True)
    amount_minor = models.IntegerField("amount")
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=8, choices=Method.choices)
    is_deposit = models.BooleanField(default=False)
    what_for = models.CharField(max_length=160, blank=True)
    gives_back = models.ForeignKey("self", models.PROTECT, related_name="given_back_by", null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    once = models.UUIDField(
        "key of the form that took it", unique=True, null=True, blank=True, help_text="A form sent twice pays once."
    )

    objects: ClassVar[PaymentQuerySet] = PaymentQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["at"], name="payment_by_day")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(amount_minor=0),
                name="payment_of_something",
                violation_error_message="A payment is of more than nothing.",
            ),
            models.CheckConstraint(
                condition=Q(gives_back__isnull=True) | Q(amount_minor__lt=0),
                name="payment_back_is_negative",
                violation_error_message="What is given back goes out.",
            ),
            models.CheckConstraint(
                condition=Q(sale__isnull=False) | Q(is_deposit=True) | Q(gives_back__isnull=False),
                name="payment_without_a_sale_is_a_deposit",
                violation_error_message="A payment belongs to a sale, or is a deposit.",
            ),
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"),
                name="payment_currency_is_a_code",
                violation_error_message="A currency is three capital letters, such as GBP.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_method_display()} {self.amount_minor} {self.currency}"


class ReceiptCounter(models.Model):
    """The last number given to a receipt; one row, held while a receipt is written, so that no number is skipped."""

    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pk=1),
                name="receipt_counter_is_one",
                violation_error_message="Receipts are counted in one row.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.last} receipts"


class Receipt(models.Model):
    """The numbered paper of one payment, with all that stands on it as it was that day."""

    number = models.PositiveIntegerField(unique=True, editable=False)
    payment = models.OneToOneField(Payment, models.PROTECT, related_name="receipt")
    issued_at = models.DateTimeField()
    shown = models.JSONField(encoder=DjangoJSONEncoder, default=dict, help_text="What is printed, as plain data.")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(number__gte=1),
                name="receipt_numbers_begin_at_1",
                violation_error_message="Receipts are numbered from 1.",
            )
        ]

    def __str__(self) -> str:
        return f"Receipt {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("receipt", args=[self.number])
