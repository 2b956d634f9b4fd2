"""The same head painted twice by the same hand, to learn how far two paintings of one head lie apart."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact
from django.urls import reverse

from clients.models.assessment import Assessment
from salon.common.references import new_reference
from salon.models import User

_A_MAP = r"^([0-5][0-9a-f]|6[0-4])*$"


def _repainting_reference() -> str:
    return new_reference("R")


class RepaintingQuerySet(models.QuerySet["Repainting"]):
    def finished(self) -> RepaintingQuerySet:
        return self.filter(finished_at__isnull=False)

    def unfinished(self) -> RepaintingQuerySet:
        """Those that can be gone on with or dropped."""
        return self.filter(finished_at__isnull=True)


class Repainting(models.Model):
    """The first painting is an assessment's map or painted for this; the second is painted without seeing the first."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_repainting_reference)
    assessment = models.ForeignKey(
        Assessment, models.PROTECT, related_name="repaintings", null=True, blank=True, verbose_name="whose head"
    )
    pattern = models.CharField(
        max_length=40, blank=True, help_text="The example that was painted: a key of `clients.scalp.patterns`."
    )
    painted_by = models.ForeignKey(User, models.PROTECT, related_name="repaintings")
    begun_at = models.DateTimeField()
    first_hex = models.TextField(blank=True)
    second_hex = models.TextField(blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    salt_difference = models.FloatField("second less first, SALT", null=True, blank=True)
    area_difference_cm2 = models.FloatField("second less first, cm² under 40 %", null=True, blank=True)

    objects: ClassVar[RepaintingQuerySet] = RepaintingQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-begun_at", "-pk"]
        verbose_name = "head painted twice"
        verbose_name_plural = "heads painted twice"
        constraints = [
            models.CheckConstraint(
                condition=Q(assessment__isnull=True) & ~Q(pattern="") | Q(assessment__isnull=False, pattern=""),
                name="repainting_of_a_client_or_an_example",
                violation_error_message="A head painted twice is a client's or an example's.",
            ),
            models.CheckConstraint(
                condition=Q(
                    finished_at__isnull=True,
                    salt_difference__isnull=True,
                    area_difference_cm2__isnull=True,
                    second_hex="",
                )
                | (
                    Q(finished_at__isnull=False, salt_difference__isnull=False, area_difference_cm2__isnull=False)
                    & ~Q(second_hex="")
                    & ~Q(first_hex="")
                ),
                name="repainting_finished_with_both_paintings",
                violation_error_message="It is finished when both paintings and their differences are there.",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{which: ""}) | (Q(Exact(Length(which), 8192)) & Q(**{f"{which}__regex": _A_MAP})),
                    name=f"repainting_{which}_is_a_map",
                    violation_error_message="A loss map holds 4,096 cells of 0 to 100 percent.",
                )
                for which in ("first_hex", "second_hex")
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("repainting", args=[self.reference])

    @property
    def is_finished(self) -> bool:
        return self.finished_at is not None
