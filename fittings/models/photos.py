"""Which visit a set of photos was taken in; a set taken between visits has none."""

from django.db import models

from clients.models import PhotoSet
from fittings.models.fitting import Fitting


class VisitPhotoSet(models.Model):
    """Files one set of photos with the visit it was taken in."""

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="photo_sets")
    photo_set = models.OneToOneField(PhotoSet, models.PROTECT, related_name="of_visit")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.photo_set} in {self.fitting}"
