"""What every entry of a piece's record shares: it is never edited, and a mistake is answered by a new entry.

The new entry points at the one it corrects and says why; one that is struck out says only that the other is void. Which
entries count today is `standing`.
"""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q


class EntryQuerySet(models.QuerySet[Any]):
    def standing(self) -> Any:
        """Those that no later entry corrects, without those that only strike another out."""
        return self.filter(corrected_by__isnull=True, struck_out=False)


class Entry(models.Model):
    corrects = models.OneToOneField("self", models.PROTECT, related_name="corrected_by", null=True, blank=True)
    corrected_because = models.CharField("why it is corrected", max_length=240, blank=True)
    struck_out = models.BooleanField(
        default=False, help_text="It says only that the entry it corrects should not have been made."
    )

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(corrects__isnull=True, corrected_because="", struck_out=False)
                | Q(corrects__isnull=False, corrected_because__regex=r"\S"),
                name="%(class)s_correction_says_why",
                violation_error_message="A correction says which entry it corrects, and why.",
            )
        ]

    @property
    def is_correction(self) -> bool:
        return self.corrects_id is not None  # type: ignore[attr-defined]  # each subclass has its own column
