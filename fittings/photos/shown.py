"""How a set of photos is laid out: a tile for each angle, the turn as one, and what was removed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, QuerySet, prefetch_related_objects

from clients.models import Client, Photo, PhotoSet
from clients.models.photo import NAMED_ANGLES, Angle

ANGLES = (*NAMED_ANGLES, Angle.COLOUR, Angle.TURN)
NEWEST_SHOWN = 6


@dataclass(frozen=True)
class Tile:
    """The photos of one angle that are kept: a turn's by their places, of the others the newest first."""

    angle: Angle
    photos: list[Photo]

    @property
    def outside(self) -> int:
        """How many of them may be shown outside."""
        return sum(photo.may_be_shown_outside for photo in self.photos)


@dataclass(frozen=True)
class SetShown:
    """One set, its tiles in the order in which one walks round her."""

    photo_set: PhotoSet
    tiles: list[Tile]
    removed: list[Photo]

    @property
    def taken(self) -> list[Tile]:
        return [tile for tile in self.tiles if tile.photos]

    @property
    def has_turn(self) -> bool:
        return any(tile.angle == Angle.TURN and len(tile.photos) > 1 for tile in self.tiles)


def sets_of(client: Client) -> QuerySet[PhotoSet]:
    """Her sets, newest first, with all that a page shows of them: two queries."""
    return client.photo_sets.select_related("begun_by", "of_visit__fitting").prefetch_related(_photos())


def laid_out(photo_set: PhotoSet) -> SetShown:
    """Fetches the photos of a set that `sets_of` has not fetched."""
    prefetch_related_objects([photo_set], _photos())
    photos = list(photo_set.photos.all())
    kept = [photo for photo in photos if not photo.is_removed]
    return SetShown(
        photo_set,
        [Tile(angle, [photo for photo in kept if photo.angle == angle]) for angle in ANGLES],
        [photo for photo in photos if photo.is_removed],
    )


def newest_photos(client: Client) -> list[Photo]:
    """The last few, without the frames of a turn."""
    photos = Photo.objects.kept().filter(photo_set__client=client).exclude(angle=Angle.TURN)
    return list(photos.select_related("publicity_consent", "photo_set").order_by("-taken_at", "-pk")[:NEWEST_SHOWN])


def has_photos(client: Client) -> bool:
    """Whether any photo of hers is kept, locked or not."""
    return Photo.objects.kept().filter(photo_set__client=client).exists()


def _photos() -> Prefetch[Any]:
    return Prefetch("photos", Photo.objects.select_related("publicity_consent", "removed_by").in_order())
