"""How a set of photos is laid out: a tile for each angle, the turn as one, and what was removed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, QuerySet, prefetch_related_objects

from clients.models import Client, Photo, PhotoSet
from clients.models.photo import NAMED_ANGLES, Angle, Moment

ANGLES = (*NAMED_ANGLES, Angle.COLOUR, Angle.TURN)
ANGLES_OF = {  # where nobody's head is in the picture
    Moment.PIECE_OFF: (Angle.TOP, Angle.BACK, Angle.FRONT, Angle.CLOSE, Angle.COLOUR),
    Moment.STRAND: (Angle.CLOSE, Angle.COLOUR),
}
HINTS = {  # what to look for, where the angle's own word is not enough
    (Moment.PIECE_OFF, Angle.TOP): "Lying flat, hair side up, its front edge towards the top of the picture.",
    (Moment.PIECE_OFF, Angle.BACK): "Turned over, so that the base, its clips and its tape are seen.",
    (Moment.PIECE_OFF, Angle.FRONT): "The front edge towards you, at the height of your eyes.",
    (Moment.PIECE_OFF, Angle.CLOSE): "What was found: a tear, a clip, matted ends. One photo each.",
    (Moment.STRAND, Angle.CLOSE): "The strand on white paper, its name beside it.",
}
NEWEST_SHOWN = 6


@dataclass(frozen=True)
class Tile:
    """The photos of one angle that are kept: a turn's by their places, of the others the newest first."""

    angle: Angle
    photos: list[Photo]
    moment: Moment

    @property
    def hint(self) -> str:
        return HINTS.get((self.moment, self.angle), "")

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
    """Fetches the photos of a set that `sets_of` has not fetched. What was filed under another angle than its moment
    asks for comes last."""
    prefetch_related_objects([photo_set], _photos())
    photos = list(photo_set.photos.all())
    kept = [photo for photo in photos if not photo.is_removed]
    moment = Moment(photo_set.moment)
    asked = ANGLES_OF.get(moment, ANGLES)
    angles = [*asked, *(Angle(other) for other in dict.fromkeys(photo.angle for photo in kept) if other not in asked)]
    return SetShown(
        photo_set,
        [Tile(angle, [photo for photo in kept if photo.angle == angle], moment) for angle in angles],
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
