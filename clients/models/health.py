"""What a client reacts to, and the skin tests that were made before something touched her skin."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Exists, ExpressionWrapper, F, OuterRef, Q, Value
from django.db.models.functions import Cast, Coalesce

from clients.models.client import Client
from clients.models.product import Product
from clients.models.search import folded_whole
from salon.models import User


class Substance(models.TextChoices):
    HAIR_DYE = "hair dye", "Hair dye"
    BLACK_HENNA = "black henna tattoo", "Temporary black tattoo"
    ACRYLATE = "acrylate adhesive", "Acrylate adhesive (most tapes and glues)"
    LATEX = "latex", "Latex"
    ROSIN = "rosin", "Rosin"
    NICKEL = "nickel", "Nickel"


class Sensitivity(models.Model):
    """A reaction the client has told of; a fact of the moment, never edited."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="sensitivities")
    substance = models.CharField(max_length=20, choices=Substance.choices)
    reaction = models.CharField("what happened", max_length=240, blank=True)
    told_on = models.DateField()
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["substance", "pk"]
        verbose_name_plural = "sensitivities"
        constraints = [
            models.UniqueConstraint(
                fields=["client", "substance"],
                name="sensitivity_once_for_a_substance",
                violation_error_message="This reaction is already on file.",
            )
        ]

    def __str__(self) -> str:
        return self.get_substance_display()


class SkinTestKind(models.TextChoices):
    ADHESIVE = "adhesive", "Tape or adhesive test"
    COLOUR = "colour", "Allergy alert test for colour"


CLEAR_NO_SOONER = timedelta(hours=48)  # where its product says nothing else: see `clients.skin_testing`
A_DAY = timedelta(days=1)


class SkinTestQuerySet(models.QuerySet["SkinTest"]):
    def standing(self) -> SkinTestQuerySet:
        """Those that nobody struck out."""
        return self.filter(struck_out_at__isnull=True)

    def clear_for(
        self, client: Client, kind: str, *, at: datetime, valid_for: timedelta, product: str | None = None
    ) -> SkinTestQuerySet:
        """Tests of that kind read without a reaction and still inside their window at that moment; one query.

        The window is the test's own `valid_days`, or `valid_for` where it has none. `product`: only tests of what is
        called so, today or when it was tested. No test is clear of a product to which a reaction was ever recorded,
        in another test or in one that was struck out.
        """
        # SQLite multiplies a span of time only by what it knows for a plain whole number
        days = Cast("valid_days", models.IntegerField())
        own = ExpressionWrapper(days * Value(A_DAY), output_field=models.DurationField())
        window = Coalesce(own, Value(valid_for), output_field=models.DurationField())
        reacted = SkinTest.objects.filter(client=OuterRef("client"), reacted=True).filter(
            Q(product_key=OuterRef("product_key")) | Q(known_product=OuterRef("known_product"))
        )
        found = (
            self.standing().filter(client=client, kind=kind, reacted=False, read_at__lte=at).filter(~Exists(reacted))
        )
        if product is not None:
            found = found.filter(Q(product_key=folded_whole(product)) | Q(known_product__name__iexact=product.strip()))
        return found.alias(
            clear_until=ExpressionWrapper(F("read_at") + window, output_field=models.DateTimeField())
        ).filter(clear_until__gt=at)


class SkinTest(models.Model):
    """A drop of a product on the client's skin, and what was seen when it was read.

    A reaction can come late, so a test that was clear may be read once more: the reading columns hold the newest word,
    the earlier ones the first reading, which was clear. A test is never edited or removed: one that was written down
    wrongly is struck out, with a reason, and stays to be seen.
    """

    client = models.ForeignKey(Client, models.PROTECT, related_name="skin_tests")
    kind = models.CharField(max_length=10, choices=SkinTestKind.choices)
    product = models.CharField(max_length=120)
    product_key = models.TextField(default="", blank=True, editable=False, help_text="The product's name, folded.")
    lot = models.CharField("lot number", max_length=40, blank=True)
    known_product = models.ForeignKey(
        Product, models.PROTECT, related_name="skin_tests", null=True, blank=True, verbose_name="from the salon's list"
    )
    valid_days = models.PositiveSmallIntegerField(
        "a clear reading counts for (days)",
        null=True,
        blank=True,
        help_text="As its product asked for when it was applied; empty: the house rule.",
    )
    read_from = models.DateTimeField("to be read from", null=True, blank=True)
    applied_at = models.DateTimeField()
    applied_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    written_at = models.DateTimeField("written down", null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)
    read_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    reacted = models.BooleanField("a reaction was seen", null=True, blank=True)
    earlier_read_at = models.DateTimeField("first read, clear", null=True, blank=True)
    earlier_read_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    struck_out_at = models.DateTimeField("struck out", null=True, blank=True)
    struck_out_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    struck_out_because = models.CharField("why it is struck out", max_length=240, blank=True)

    objects: ClassVar[SkinTestQuerySet] = SkinTestQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-applied_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(read_at__isnull=True) | Q(read_at__gte=F("applied_at")),
                name="skin_test_read_after_it_was_applied",
                violation_error_message="A skin test is read after it was applied.",
            ),
            models.CheckConstraint(
                condition=Q(read_at__isnull=True, read_by__isnull=True, reacted__isnull=True)
                | Q(read_at__isnull=False, read_by__isnull=False, reacted__isnull=False),
                name="skin_test_reading_is_whole",
                violation_error_message="A reading says when, who read it and whether a reaction was seen.",
            ),
            models.CheckConstraint(
                condition=Q(earlier_read_at__isnull=True, earlier_read_by__isnull=True)
                | Q(
                    earlier_read_by__isnull=False,
                    earlier_read_at__gte=F("applied_at"),
                    earlier_read_at__lte=F("read_at"),
                ),
                name="skin_test_read_again_after_the_first_time",
                violation_error_message="A skin test is read again after it was read the first time.",
            ),
            models.CheckConstraint(
                condition=Q(struck_out_at__isnull=True, struck_out_by__isnull=True, struck_out_because="")
                | Q(
                    struck_out_at__isnull=False,
                    struck_out_by__isnull=False,
                    struck_out_because__regex=r"\S",
                ),
                name="skin_test_struck_out_by_somebody_who_says_why",
                violation_error_message="A skin test is struck out by somebody, who says why.",
            ),
            models.CheckConstraint(
                condition=Q(read_from__isnull=True) | Q(read_from__gte=F("applied_at")),
                name="skin_test_to_be_read_after_it_was_applied",
                violation_error_message="A skin test is to be read after it was applied.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.product}"

    @property
    def is_struck_out(self) -> bool:
        return self.struck_out_at is not None

    @property
    def to_be_read_from(self) -> datetime:
        """From when on it can be clear: by its product's hours."""
        return self.read_from or self.applied_at + CLEAR_NO_SOONER

    @property
    def read_again_from(self) -> datetime:
        """The usual second look, 72 to 96 hours after a test that is first read at 48; later by as much as that is."""
        return self.to_be_read_from + A_DAY

    @property
    def read_again_until(self) -> datetime:
        return self.to_be_read_from + 2 * A_DAY

    def counts_until(self, *, house_days: float) -> datetime | None:
        """Until when its clear reading counts, by its own days or the house rule's; None for any other test."""
        if self.read_at is None or self.reacted or self.is_struck_out:
            return None
        return self.read_at + timedelta(days=house_days if self.valid_days is None else self.valid_days)
