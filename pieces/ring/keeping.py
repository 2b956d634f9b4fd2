"""Stores what a photo read of the salon's shades; the only writer of ShadeReading.

A row is never changed: a shade read anew gets another one, and the newest of a routine counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from pieces.models import RingPhoto, Shade, ShadeReading
from pieces.ring.comparing import newest_of
from pieces.ring.reading import ShadeRead, what_it_stands_on
from salon.models import User


@transaction.atomic
def keep_shade_readings(
    *, photo: RingPhoto, read: Mapping[Shade, ShadeRead], by: User, at: datetime
) -> list[ShadeReading]:
    """Keep a reading of each shade. What is the newest of its shade already, mark for mark, is not kept twice.

    Raises ValidationError for a colour that is none; then nothing is kept.
    """
    photo = RingPhoto.objects.select_for_update().get(pk=photo.pk)  # the same marks sent twice at once wait here
    newest = newest_of(read, {one.routine for one in read.values()})
    kept = []
    for shade, one in read.items():
        before = newest.get((shade.pk, one.routine))
        if before is not None and before.photo_id == photo.pk and _stands_on(before) == one.stands_on:
            kept.append(before)
            continue
        row = ShadeReading(
            shade=shade,
            method=one.method,
            routine_version=one.routine,
            doubt=one.doubt,
            details=one.details,
            photo=photo,
            read_at=at,
            read_by=by,
            **_columns(one),
        )
        row.full_clean()
        row.save()
        kept.append(row)
    return kept


def _stands_on(row: ShadeReading) -> tuple[Any, ...]:
    return what_it_stands_on(row.routine_version, row.details)


def _columns(one: ShadeRead) -> dict[str, float]:
    return {f"{zone}_{axis}": value for zone, lab in one.lab.items() for axis, value in zip("lab", lab, strict=True)}
