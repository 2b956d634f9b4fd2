"""Pictures of a piece for the catalogue: the salon's own, of pieces and not of people."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from pieces.models.piece import Piece
from salon.common.references import new_reference
from salon.common.stored_pictures import StoredPicture
from salon.models import User


def _picture_reference() -> str:
    return new_reference("T")


class PiecePicture(StoredPicture):
    reference = models.CharField(max_length=16, unique=True, editable=False, default=_picture_reference)
    piece = models.ForeignKey(Piece, models.PROTECT, related_name="pictures")
    shows = models.CharField("what it shows", max_length=120, help_text="Read out to those who can't see it.")
    position = models.PositiveSmallIntegerField(default=0)
    taken_in_at = models.DateTimeField()
    taken_in_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["piece", "position", "pk"]

    def __str__(self) -> str:
        return self.shows

    def get_absolute_url(self) -> str:
        return reverse("piece-picture", args=[self.reference, "full"])
