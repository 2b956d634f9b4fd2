"""Takes pictures of a piece into the catalogue, and takes one away again: the only writer of PiecePicture.

They show pieces and no client; they lie in the private storage all the same. What a picture is made of is
`salon.common.pictures`' work.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max

from pieces.models import Piece, PiecePicture
from salon.common.pictures import take_in
from salon.models import User

MOST_PICTURES = 12


def take_piece_picture(
    *, piece: Piece, shows: str, file: BinaryIO, size: int, upload_key: uuid.UUID, by: User, at: datetime
) -> PiecePicture:
    """Keep a picture as the piece's last; the one kept already when the same upload comes twice.

    size: of the file, in bytes. Raises PictureRefused for what is no picture, ValidationError for one too many. Call it
    outside any transaction (`StoredPicture.keeping`).
    """
    if kept := _taken_under(upload_key):
        return kept
    _require_room(piece)  # before the work of reading the file; asked again where nobody interferes
    picture = PiecePicture(
        piece=piece, shows=" ".join(shows.split()), upload_key=upload_key, taken_in_at=at, taken_in_by=by
    )
    try:
        with picture.keeping(take_in(file, size=size)):
            Piece.objects.select_for_update(no_key=True).get(pk=piece.pk)
            _require_room(piece)
            last = piece.pictures.aggregate(last=Max("position"))["last"]
            picture.position = 0 if last is None else last + 1
            picture.full_clean()
            picture.save()
    except (ValidationError, IntegrityError):
        if kept := _taken_under(upload_key):  # the other of two at once was first
            return kept
        raise
    return picture


@transaction.atomic
def remove_piece_picture(*, picture: PiecePicture) -> None:
    """Take a picture away with its files."""
    kept = PiecePicture.objects.select_for_update().filter(pk=picture.pk).first()
    if kept is not None:  # none: the button was pressed twice
        kept.discard_files()
        kept.delete()


def _require_room(piece: Piece) -> None:
    if piece.pictures.count() >= MOST_PICTURES:
        raise ValidationError(f"{piece} has {MOST_PICTURES} pictures already. Take one away first.")


def _taken_under(upload_key: uuid.UUID) -> PiecePicture | None:
    return PiecePicture.objects.filter(upload_key=upload_key).first()
