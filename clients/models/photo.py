"""Photos of a client: which moment, which angle, who took it, and whether it may be shown outside the salon.

The pictures lie in the private storage (`salon.common.stored_pictures`); `clients.photos` is the only writer.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from clients.models.client import Client
from clients.models.consent import Consent
from salon.common.references import new_reference
from salon.common.stored_pictures import StoredPicture
from salon.models import User

MOST_FRAMES = 24


class Moment(models.TextChoices):
    """What is on her head in a set of photos."""

    OWN_HAIR = "own hair", "Own hair"
    PIECE_ON = "piece on", "With the piece on"
    PIECE_OFF = "piece", "The piece, off the head"
    STRAND = "strand", "A strand"


class Angle(models.TextChoices):
    """From where a photo looks at her head."""

    FRONT = "front", "Front"
    LEFT = "left", "Left"
    RIGHT = "right", "Right"
    BACK = "back", "Back"
    TOP = "top", "Top"
    TURN = "turn", "Turn"
    COLOUR = "colour", "Colour, with card or chart"
    CLOSE = "close", "Close up"


NAMED_ANGLES = (Angle.FRONT, Angle.LEFT, Angle.RIGHT, Angle.BACK, Angle.TOP)


def _set_reference() -> str:
    return new_reference("S")


def _photo_reference() -> str:
    return new_reference("P")


class PhotoSet(models.Model):
    """The photos of one client at one moment; which visit it belongs to is for `fittings` to say."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_set_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="photo_sets")
    moment = models.CharField("what is on her head", max_length=8, choices=Moment.choices)
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-begun_at", "-pk"]
        indexes = [models.Index(fields=["client", "-begun_at"], name="photo_set_newest_of_a_client")]

    def __str__(self) -> str:
        return f"{self.get_moment_display()}, {self.begun_at:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("photo-set", args=[self.reference])


class PhotoQuerySet(models.QuerySet["Photo"]):
    def kept(self) -> PhotoQuerySet:
        """Photos whose pictures are still there."""
        return self.filter(removed_at__isnull=True)

    def in_order(self) -> PhotoQuerySet:
        """The turn by its frames, of every other angle the newest first."""
        return self.order_by("frame", "-taken_at", "-pk")


class Photo(StoredPicture):
    """One photo. Removing it takes the pictures away and leaves who took and who removed it, when and why."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_photo_reference)
    photo_set = models.ForeignKey(PhotoSet, models.PROTECT, related_name="photos")
    angle = models.CharField(max_length=6, choices=Angle.choices)
    frame = models.PositiveSmallIntegerField("place in the turn", null=True, blank=True)
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    publicity_consent = models.ForeignKey(
        Consent,
        models.PROTECT,
        related_name="photos_shown",
        null=True,
        blank=True,
        help_text="The consent under which she said yes to this very photo; it is shown outside while that one lives.",
    )
    publicity_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    publicity_at = models.DateTimeField(null=True, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    removed_because = models.CharField("removed because", max_length=240, blank=True)

    objects: ClassVar[PhotoQuerySet] = PhotoQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["photo_set", "angle", "frame", "-taken_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(angle="turn", frame__gte=1, frame__lte=MOST_FRAMES)
                | (~Q(angle="turn") & Q(frame__isnull=True))
                | Q(angle="turn", frame__isnull=True, removed_at__isnull=False),
                name="photo_only_a_turn_has_frames",
                violation_error_message=f"A turn has places 1 to {MOST_FRAMES}; no other photo has one.",
            ),
            models.UniqueConstraint(
                fields=["photo_set", "frame"],
                condition=Q(frame__isnull=False),
                name="photo_one_of_a_frame",
                violation_error_message="This place in the turn already has its photo.",
            ),
            models.CheckConstraint(
                condition=Q(publicity_consent__isnull=True, publicity_by__isnull=True, publicity_at__isnull=True)
                | Q(publicity_consent__isnull=False, publicity_by__isnull=False, publicity_at__isnull=False),
                name="photo_shown_outside_by_somebody",
                violation_error_message="A photo to be shown outside says who let it out, when and by which consent.",
            ),
            models.CheckConstraint(
                condition=(Q(removed_at__isnull=True, removed_by__isnull=True, removed_because="") & ~Q(full=""))
                | (
                    Q(removed_at__isnull=False, removed_by__isnull=False, full="", page="", thumb="")
                    & Q(publicity_consent__isnull=True)
                    & ~Q(removed_because="")
                ),
                name="photo_has_its_pictures_until_it_is_removed",
                violation_error_message="A photo has its pictures until somebody removes it and says why.",
            ),
        ]

    def __str__(self) -> str:
        name = self.get_angle_display()
        return f"{name} {self.frame}" if self.frame else str(name)

    def get_absolute_url(self) -> str:
        return reverse("photo", args=[self.reference])

    @property
    def is_removed(self) -> bool:
        return self.removed_at is not None

    @property
    def may_be_shown_outside(self) -> bool:
        """She said yes to this photo, and has not taken that consent back. Fetch `publicity_consent` with it."""
        return self.publicity_consent is not None and self.publicity_consent.withdrawn_at is None
