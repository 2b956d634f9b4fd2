"""Two records of one person that were made one, and what is needed to part them again."""

from __future__ import annotations

from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q

from clients.models.client import Client
from salon.common.references import new_reference
from salon.models import User


def _merge_reference() -> str:
    return new_reference("M")


class MergeQuerySet(models.QuerySet["Merge"]):
    def standing(self) -> MergeQuerySet:
        """Not undone."""
        return self.filter(undone_at__isnull=True)


class Merge(models.Model):
    """`gone` went into `kept`: every row that moved is named, and so is every field that was filled in."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_merge_reference)
    kept = models.ForeignKey(Client, models.PROTECT, related_name="merges")
    gone = models.ForeignKey(Client, models.PROTECT, related_name="+")
    moved = models.JSONField(
        default=dict,
        blank=True,
        encoder=DjangoJSONEncoder,
        help_text="Primary keys of the rows that moved, by app.model.field.",
    )
    stayed = models.JSONField(
        default=dict,
        blank=True,
        encoder=DjangoJSONEncoder,
        help_text="Those the kept record had already, left where they were.",
    )
    filled_in = models.JSONField(
        default=dict, blank=True, encoder=DjangoJSONEncoder, help_text="Fields of the kept record: [before, after]."
    )
    newest = models.JSONField(
        default=dict,
        blank=True,
        help_text="The highest primary key there was, by app.model.field: what is above it was written since.",
    )
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    undone_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar[MergeQuerySet] = MergeQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kept=F("gone")),
                name="merge_of_two_records",
                violation_error_message="Two different records are needed.",
            ),
            models.UniqueConstraint(
                fields=["gone"],
                condition=Q(undone_at__isnull=True),
                name="merge_a_record_once",
                violation_error_message="This record has gone into another one already.",
            ),
            models.CheckConstraint(
                condition=Q(undone_at__isnull=True, undone_by__isnull=True)
                | Q(undone_at__gte=F("at"), undone_by__isnull=False),
                name="merge_undone_by_somebody",
                violation_error_message="Somebody undoes a merge, after it was done.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gone.reference} into {self.kept.reference}"
