"""Looks an owned piece over, part by part, in four words, with photos if she agrees to them: the only writer of
ConditionCheck.

A part is one that this very piece has. What follows from the grades for its care is for `fittings.caring`.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import require_record_consent
from clients.models import PhotoSet
from clients.models.photo import Moment
from fittings.caring import work_out_care
from fittings.models import PARTS, ConditionCheck, Fitting, OwnedPiece, Wear
from fittings.owning import held, may_answer
from fittings.photos.filing import begin_photo_set
from pieces.models import Base
from salon.models import User

A_SECOND_PRESS = timedelta(minutes=10)


def parts_of(owned: OwnedPiece) -> dict[str, str]:
    """The parts this piece has, with their words: no lace on a base without any, no clips where none sits now."""
    base = owned.unit.variant.piece.base
    has_lace = base.construction == Base.Construction.LACE or base.front_edge == Base.FrontEdge.LACE
    gone = {part for part, there in (("lace", has_lace), ("clips", bool(owned.clips))) if not there}
    return {part: words for part, words in PARTS.items() if part not in gone}


@transaction.atomic
def check_condition(
    *,
    owned: OwnedPiece,
    grades: Mapping[str, int],
    note: str = "",
    by: User,
    at: datetime,
    fitting: Fitting | None = None,
    photo_set: PhotoSet | None = None,
    corrects: ConditionCheck | None = None,
    because: str = "",
) -> ConditionCheck:
    """Keep how its parts are, by the names of `PARTS` and the numbers of `Wear`; a part not looked at is left out.

    A correction says how it was when the corrected one was made, and so keeps its time.
    """
    owned = held(owned)
    require_record_consent(owned.client)
    may_answer(owned, fitting=fitting, corrects=corrects)
    _refuse_wrong_grades(owned, grades, corrects)
    if photo_set is not None and photo_set.client_id != owned.client_id:
        raise ValidationError("These photos are another client's.")
    check = ConditionCheck(
        owned_piece=owned,
        fitting=fitting,
        checked_at=corrects.checked_at if corrects else at,
        checked_by=by,
        recorded_at=at,
        note=note.strip(),
        photo_set=photo_set,
        corrects=corrects,
        corrected_because=" ".join(because.split()),
        **dict(grades),
    )
    check.full_clean()
    _refuse_a_second_press(check)
    check.save()
    work_out_care(owned=owned, on=localdate(at))
    return check


def begin_check_photos(*, owned: OwnedPiece, by: User, at: datetime) -> PhotoSet:
    """The set for photos of this piece off the head: in one visit each piece has its own. Needs her photo consent."""
    others = ConditionCheck.objects.filter(photo_set__isnull=False).exclude(owned_piece=owned)
    return begin_photo_set(
        client=owned.client,
        moment=Moment.PIECE_OFF,
        by=by,
        at=at,
        apart_from=others.filter(owned_piece__client=owned.client).values("photo_set"),
    )


def _refuse_wrong_grades(owned: OwnedPiece, grades: Mapping[str, int], corrects: ConditionCheck | None) -> None:
    there = {**parts_of(owned), **({part: PARTS[part] for part in corrects.grades} if corrects else {})}
    for part, grade in grades.items():
        if part not in PARTS:
            raise ValidationError(f"There is no part called “{part}”. There are: {', '.join(PARTS)}.")
        if part not in there:
            raise ValidationError({part: f"{PARTS[part]}: this piece has none."})
        if grade not in Wear.values:
            raise ValidationError({part: f"{PARTS[part]}: press one of the four words."})


def _refuse_a_second_press(check: ConditionCheck) -> None:
    """The very same check of a moment ago is a button pressed twice, or the page sent again."""
    lately = ConditionCheck.objects.standing().filter(
        owned_piece=check.owned_piece,
        checked_by=check.checked_by,
        recorded_at__gt=check.recorded_at - A_SECOND_PRESS,
        corrects=check.corrects,
        note=check.note,
    )
    if any(kept.grades == check.grades for kept in lately):
        raise ValidationError("This very check was kept a moment ago; look at it on the page of the piece.")
