"""Takes photos of a client in, files one under another angle, lets it be shown outside or keeps it inside, and takes it
away: the only writer of PhotoSet and Photo.

Nothing is taken or filed without her photo consent, read under the lock that its withdrawal takes too. What a picture
is made of is `salon.common.pictures`' work, where its files lie `salon.common.stored_pictures`'; which visit a set
belongs to is for `fittings` to say.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import BinaryIO
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked, require_photo_consent
from clients.looking import note_look
from clients.models import Client, Consent, Photo, PhotoSet
from clients.models.consent import ConsentKind
from clients.models.photo import MOST_FRAMES, Angle
from salon.common.days import day_said
from salon.common.pictures import take_in
from salon.models import User

MOST_OF_AN_ANGLE = 12
MOMENT_LASTS = timedelta(hours=24)  # a visit that runs late, never another one


@transaction.atomic
def open_photo_set(*, client: Client, moment: str, by: User, at: datetime) -> PhotoSet:
    """Begin a set of photos of one moment; raises ValidationError without her photo consent."""
    client = locked(client)
    require_photo_consent(client)
    photo_set = PhotoSet(client=client, moment=moment, begun_at=at, begun_by=by)
    photo_set.full_clean()
    photo_set.save()
    return photo_set


def take_photo(
    *,
    photo_set: PhotoSet,
    angle: str,
    file: BinaryIO,
    size: int,
    upload_key: UUID,
    by: User,
    at: datetime,
    frame: int | None = None,
) -> Photo:
    """Keep one photo in the set, whole or not at all; raises ValidationError that says why not.

    size: of the file, in bytes. upload_key: the same one again is the same photo, which is then given back as it is
    kept. frame: the place it should have in the turn; where that is taken, or none is asked for, the first free one.
    Call it outside any transaction (`StoredPicture.keeping`).
    """
    if kept := _kept_already(upload_key, photo_set):
        return kept
    _require_room(photo_set, angle, at)  # before the work of reading the picture; asked again where nobody interferes
    photo = Photo(photo_set=photo_set, angle=angle, upload_key=upload_key, taken_at=at, taken_by=by)
    try:
        with photo.keeping(take_in(file, size=size)):
            photo_set = _held(photo_set)
            if kept := _kept_already(upload_key, photo_set):
                raise _TakenMeanwhile(kept)
            _require_room(photo_set, angle, at)
            photo.frame = _place_in_turn(photo_set, angle, frame)
            photo.full_clean()
            photo.save()
    except _TakenMeanwhile as meanwhile:
        return meanwhile.photo
    return photo


@transaction.atomic
def file_under(*, photo: Photo, angle: str, by: User) -> Photo:
    """File a photo under the angle it was really taken from; in a turn it gets the first free place."""
    photo = _held_photo(photo)
    require_photo_consent(photo.photo_set.client)
    if angle == photo.angle:
        return photo
    _require_room_for_angle(photo.photo_set, angle)
    photo.angle, photo.frame = angle, _place_in_turn(photo.photo_set, angle, None)
    photo.full_clean()
    photo.save()
    note_look(client=photo.photo_set.client, user=by, page=f"photo {photo.reference}: filed under another angle")
    return photo


@transaction.atomic
def show_outside(*, photo: Photo, by: User, at: datetime) -> Photo:
    """She has seen this photo and says yes to showing it, under the publicity consent that is on file now."""
    photo = _held_photo(photo)
    client = photo.photo_set.client
    require_photo_consent(client)
    consent = Consent.objects.live().filter(client=client, kind=ConsentKind.PUBLICITY).first()
    if consent is None:
        raise ValidationError(
            f"{client} has not agreed to photos being shown outside the salon, or has taken it back. Ask for that "
            "consent first.",
            code="no publicity consent",
        )
    if photo.publicity_consent != consent:
        photo.publicity_consent, photo.publicity_by, photo.publicity_at = consent, by, at
        photo.full_clean()
        photo.save()
    return photo


@transaction.atomic
def keep_inside(*, photo: Photo, by: User) -> Photo:
    """Keep a photo in the record alone from now on. It needs no consent: taking a permission back is always right."""
    photo = _held_photo(photo)
    if photo.publicity_consent is not None:
        photo.publicity_consent = photo.publicity_by = photo.publicity_at = None
        photo.full_clean()
        photo.save()
        note_look(client=photo.photo_set.client, user=by, page=f"photo {photo.reference}: kept inside")
    return photo


@transaction.atomic
def remove_photo(*, photo: Photo, because: str, by: User, at: datetime) -> Photo:
    """Take the pictures away for good; who took and who removed it, when and why stays, and so do colours read from it.

    It needs no consent either.
    """
    photo = _held_photo(photo)
    because = " ".join(because.split())
    if not because:
        raise ValidationError("Write why the photo is removed.")
    photo.discard_files()
    photo.frame = None
    photo.publicity_consent = photo.publicity_by = photo.publicity_at = None
    photo.removed_at, photo.removed_by, photo.removed_because = at, by, because
    photo.full_clean()
    photo.save()
    return photo


def set_is_over(photo_set: PhotoSet, at: datetime) -> bool:
    """Whether its moment has passed, so that no more photos belong to it."""
    return at - photo_set.begun_at > MOMENT_LASTS


class _TakenMeanwhile(Exception):  # noqa: N818  # no error: it only has the files of the second sending taken away
    """The same picture was sent twice at once, and the other was sooner."""

    def __init__(self, photo: Photo) -> None:
        self.photo = photo


def _kept_already(upload_key: UUID, photo_set: PhotoSet) -> Photo | None:
    """The photo that was sent under this key into this set; under another set's it is refused like any second one."""
    kept = Photo.objects.filter(upload_key=upload_key).select_related("photo_set__client").first()
    if kept is None:
        return None
    if kept.photo_set_id != photo_set.pk:
        raise ValidationError("This picture has been taken in already, in another set.")
    if kept.is_removed:
        raise ValidationError("This picture was taken in and has been removed since. Choose its file again to keep it.")
    require_photo_consent(kept.photo_set.client)
    return kept


def _require_room(photo_set: PhotoSet, angle: str, at: datetime) -> None:
    require_photo_consent(photo_set.client)
    if set_is_over(photo_set, at):
        raise ValidationError(
            f"These photos were begun on {day_said(localdate(photo_set.begun_at))}, and that moment is over. Begin a "
            "new set."
        )
    _require_room_for_angle(photo_set, angle)


def _require_room_for_angle(photo_set: PhotoSet, angle: str) -> None:
    most = MOST_FRAMES if angle == Angle.TURN else MOST_OF_AN_ANGLE
    if photo_set.photos.kept().filter(angle=angle).count() >= most:
        raise ValidationError(
            f"This set has its {most} photos under “{Angle(angle).label}” already. Remove one first, or begin a new "
            "set."
        )


def _place_in_turn(photo_set: PhotoSet, angle: str, wanted: int | None) -> int | None:
    if angle != Angle.TURN:
        return None
    taken = set(photo_set.photos.filter(frame__isnull=False).values_list("frame", flat=True))
    free = [place for place in range(1, MOST_FRAMES + 1) if place not in taken]
    return wanted if wanted in free else free[0]


def _held(photo_set: PhotoSet) -> PhotoSet:
    """The set and its client as kept now, both held until the transaction ends."""
    sets = PhotoSet.objects.select_for_update().select_related("client")
    held = sets.filter(pk=photo_set.pk, client__erased_at__isnull=True).first()
    if held is None:
        raise ValidationError("This set of photos is gone, or its client's record has been erased.")
    return held


def _held_photo(photo: Photo) -> Photo:
    """The photo as kept now, with its set and client held; refused once it has been removed."""
    photo_set = _held(photo.photo_set)
    photo = Photo.objects.select_related("publicity_consent", "removed_by").get(pk=photo.pk)
    photo.photo_set = photo_set
    if photo.removed_at:
        raise ValidationError(
            f"This photo was removed on {day_said(localdate(photo.removed_at))} by {photo.removed_by}: "
            f"{photo.removed_because}."
        )
    return photo
