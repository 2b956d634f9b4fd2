"""Takes the demo's photos, drawn by our own code, and reads colours from them, by the deeds that the pages call.

Whose photos and of which visit is told where the visit is (`history`); when one was taken is handed in.
"""

from __future__ import annotations

import io
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zlib import crc32

from clients.assessing import ReadingTaken
from clients.models import Assessment, Client, Photo, PhotoSet
from clients.models.assessment import CurlPattern, Parting
from clients.models.photo import NAMED_ANGLES, Angle, Moment
from clients.photos import show_outside, take_photo
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.views import view_named
from fittings.consult.photo_reading import read_hair
from fittings.models import Fitting, TryOn
from fittings.photos.filing import begin_photo_set
from salon.colour.marks import Marks
from salon.demo.drawn_colours import hair_photo
from salon.demo.drawn_hair import Hair
from salon.demo.drawn_heads import head_photo, turn_view
from salon.models import Salon, User

Lab = tuple[float, float, float]

SIZE, SIZE_IN_TURN = (900, 1200), (600, 800)
WAVES = {CurlPattern.WAVY.value: 0.6, CurlPattern.CURLY.value: 1.0, CurlPattern.COILY.value: 1.0}
BETWEEN_PHOTOS = timedelta(seconds=20)


@dataclass(frozen=True)
class Photographed:
    """From where she was photographed in a visit: her own hair, in how many frames all round, with the chosen piece
    on; `outside`: which of the last she lets be shown."""

    own_hair: tuple[Angle, ...] = ()
    frames: int = 0
    piece_on: tuple[Angle, ...] = ()
    outside: Angle | None = None


NOT_PHOTOGRAPHED = Photographed()
FROM_ALL_SIDES = Photographed(own_hair=NAMED_ANGLES)


def photograph_own_hair(fitting: Fitting, plan: Photographed, *, by: User, at: datetime) -> None:
    """Her own hair as the assessment of the visit says it is: thin where its map says so."""
    if not plan.own_hair:
        return
    assessment = _assessment(fitting)
    readings = {reading.zone: reading.lab for reading in assessment.readings.all()}
    hair = Hair(
        readings["root"],
        readings["ends"],
        length_mm=float(assessment.own_hair_length_mm or 0),
        remaining=LossMap.from_hex(assessment.density_hex),
        wave=_wave(assessment),
        parting_mm=_parting_mm(assessment),
    )
    _photograph(fitting, Moment.OWN_HAIR, hair, plan.own_hair, by=by, at=at, frames=plan.frames)


def photograph_piece_on(fitting: Fitting, plan: Photographed, *, by: User, at: datetime) -> None:
    """The piece that was chosen, on her head."""
    if not plan.piece_on:
        return
    assessment = _assessment(fitting)
    variant = fitting.try_ons.get(outcome=TryOn.Outcome.CHOSEN).candidate.variant
    shade = variant.shade.lab()
    hair = Hair(
        shade["root"],
        shade["ends"],
        length_mm=variant.length_mm,
        remaining=None,
        wave=_wave(assessment),
        parting_mm=_parting_mm(assessment),
    )
    for photo in _photograph(fitting, Moment.PIECE_ON, hair, plan.piece_on, by=by, at=at):
        if photo.angle == plan.outside:
            show_outside(photo=photo, by=by, at=at + timedelta(minutes=3))


def photograph_colour(
    client: Client, colours: Mapping[str, Lab], salon: Salon, *, by: User, at: datetime
) -> tuple[Photo, Marks]:
    """Hair of these colours with the chart beside it, and where it would be marked."""
    drawn = hair_photo(colours, edition=salon.for_reading_photos["edition"], seed=_seed(client))
    photo_set = begin_photo_set(client=client, moment=Moment.OWN_HAIR, by=by, at=at)
    return _take(photo_set, Angle.COLOUR, drawn.jpeg, by=by, at=at), drawn.marks


def read_by_chart(
    client: Client, colours: Mapping[str, Lab], salon: Salon, *, by: User, at: datetime
) -> dict[str, ReadingTaken]:
    """What such a photo reads."""
    if not colours:
        return {}
    photo, marks = photograph_colour(client, colours, salon, by=by, at=at)
    return dict(read_hair(photo, marks, salon).taken)


def _photograph(
    fitting: Fitting, moment: Moment, hair: Hair, angles: tuple[Angle, ...], *, by: User, at: datetime, frames: int = 0
) -> list[Photo]:
    head, seed = Head.from_tapes(**_assessment(fitting).tapes()), _seed(fitting.client)
    photo_set = begin_photo_set(client=fitting.client, moment=moment, by=by, at=at)
    photos = []
    for number, angle in enumerate(angles):
        jpeg = head_photo(head, hair, view_named(angle), size=SIZE, seed=seed)
        photos.append(_take(photo_set, angle, jpeg, by=by, at=at + number * BETWEEN_PHOTOS))
    for frame in range(1, frames + 1):
        jpeg = head_photo(head, hair, turn_view(frame, frames), size=SIZE_IN_TURN, seed=seed)
        photos.append(_take(photo_set, Angle.TURN, jpeg, by=by, at=at + (len(angles) + frame) * BETWEEN_PHOTOS))
    return photos


def _take(photo_set: PhotoSet, angle: Angle, jpeg: bytes, *, by: User, at: datetime) -> Photo:
    return take_photo(
        photo_set=photo_set,
        angle=angle,
        file=io.BytesIO(jpeg),
        size=len(jpeg),
        upload_key=uuid.uuid4(),
        by=by,
        at=at,
    )


def _assessment(fitting: Fitting) -> Assessment:
    assert fitting.assessment is not None  # noqa: S101  # only consults are photographed here
    return Assessment.objects.get(pk=fitting.assessment.pk)


def _wave(assessment: Assessment) -> float:
    return WAVES.get(assessment.curl_pattern, 0.0)


def _parting_mm(assessment: Assessment) -> float:
    """To her left."""
    side = {Parting.LEFT.value: 1.0, Parting.RIGHT.value: -1.0}.get(assessment.parting, 0.0)
    return side * (assessment.parting_offset_mm or 0)


def _seed(client: Client) -> int:
    return crc32(client.family_name.encode())
