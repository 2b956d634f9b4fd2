"""Takes in a picture of the shade ring, and takes one away again.

What is read from it is `reading`'s to say and `keeping`'s to store. A ring photo shows no client; it lies in the
private storage all the same.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from pieces.models import RingPhoto
from salon.common.pictures import take_in
from salon.models import User


def take_ring_photo(*, file: BinaryIO, size: int, upload_key: uuid.UUID, by: User, at: datetime) -> RingPhoto:
    """Keep a picture of shades; the photo kept already when the same upload comes twice.

    Raises PictureRefused with a sentence for a file that is no picture a reading could be made from.
    """
    if kept := _taken_under(upload_key):
        return kept
    renditions = take_in(file, size=size)
    photo = RingPhoto(upload_key=upload_key, taken_at=at, taken_by=by)
    try:
        with photo.keeping(renditions):
            photo.full_clean()
            photo.save()
    except (ValidationError, IntegrityError):
        if kept := _taken_under(upload_key):  # the other of two at once was first
            return kept
        raise
    return photo


@transaction.atomic
def remove_ring_photo(*, photo: RingPhoto) -> None:
    """Delete the files of a picture. What was read from it stays, and so does its row; one never read goes whole."""
    photo = RingPhoto.objects.select_for_update().get(pk=photo.pk)
    photo.discard_files()
    if photo.readings.exists():
        photo.save()
    else:
        photo.delete()


def _taken_under(upload_key: uuid.UUID) -> RingPhoto | None:
    return RingPhoto.objects.filter(upload_key=upload_key).first()
