"""What a maker calls the columns of a file, remembered from one import to the next."""

from __future__ import annotations

from django.db import models

from pieces.models.base import Maker
from salon.models import User


class MakerColumns(models.Model):
    """For one kind of record: which of the catalogue's columns each of the maker's is, and what stands in for none.

    Each by the catalogue's column. columns: the maker's column. fixed: the value in every line. units: the unit of
    bare numbers. words: {the maker's word, in small letters: the catalogue's}.
    """

    maker = models.ForeignKey(Maker, models.PROTECT, related_name="columns")
    kind = models.CharField("kind of record", max_length=12)
    columns = models.JSONField(default=dict)
    fixed = models.JSONField(default=dict, blank=True)
    units = models.JSONField(default=dict, blank=True)
    words = models.JSONField(default=dict, blank=True)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["maker", "kind"]
        verbose_name_plural = "columns of makers"
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "kind"],
                name="maker_columns_once_of_a_kind",
                violation_error_message="The columns of this maker are remembered already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.maker}: {self.kind}"
