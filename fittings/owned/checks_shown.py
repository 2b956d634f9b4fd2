"""The checks of a piece side by side in time: the last few in words, and each part as a line through all of them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from clients.models import Consent, Photo
from fittings.checking import parts_of
from fittings.models import PARTS, ConditionCheck, OwnedPiece, Wear
from salon.current import SalonRequest

IN_WORDS = 4
IN_THE_PICTURE = 40
PHOTOS_OF_A_CHECK = 2
WIDE, DEEP, EDGE = 108, 40, 6  # of the small picture, in its own units


@dataclass(frozen=True)
class PartInTime:
    """One part through the checks: a word each for the last few, and where the line of all of them runs."""

    words: str
    grades: list[Wear | None]
    line: str
    dots: list[tuple[float, float]]


@dataclass(frozen=True)
class ChecksShown:
    """The last few, the newest first; `earlier` counts those that are in the line, or before it, and not in words."""

    checks: list[ConditionCheck]
    parts: list[PartInTime]
    earlier: int
    photos: list[list[Photo]]
    photos_are_locked: bool


def checks_shown(request: SalonRequest, owned: OwnedPiece) -> ChecksShown:
    """Three queries, and two more where a check has photos."""
    standing = owned.checks.standing()
    checks = list(standing.select_related("checked_by").order_by("-checked_at", "-pk")[:IN_THE_PICTURE])
    last = checks[:IN_WORDS]
    earlier = standing.count() - len(last)
    sets = [check.photo_set_id for check in last if check.photo_set_id]
    may_see = bool(sets) and request.user.has_perm("clients.view_photo")
    opened = may_see and Consent.objects.allows_photos(owned.client)
    photos = _photos(sets) if opened else {}
    there = parts_of(owned)
    return ChecksShown(
        checks=last,
        parts=[
            _in_time(part, words, checks)
            for part, words in PARTS.items()
            if part in there or any(part in check.grades for check in checks)
        ],
        earlier=earlier,
        photos=[photos.get(check.photo_set_id, []) for check in last] if photos else [],
        photos_are_locked=may_see and not opened,
    )


def _in_time(part: str, words: str, checks: list[ConditionCheck]) -> PartInTime:
    """`checks` come newest first."""
    seen = [(check.checked_at.timestamp(), getattr(check, part)) for check in reversed(checks)]
    first, span = (seen[0][0], seen[-1][0] - seen[0][0]) if seen else (0.0, 0.0)
    dots = [
        (
            round(EDGE + (WIDE - 2 * EDGE) * ((at - first) / span if span else 1), 1),
            round(EDGE + (DEEP - 2 * EDGE) * grade / Wear.DONE, 1),
        )
        for at, grade in seen
        if grade is not None
    ]
    grades = [Wear(check.grades[part]) if part in check.grades else None for check in checks[:IN_WORDS]]
    line = "M" + "L".join(f"{x} {y}" for x, y in dots) if len(dots) > 1 else ""
    return PartInTime(words, grades, line, dots)


def _photos(sets: list[int]) -> dict[int, list[Photo]]:
    found: dict[int, list[Photo]] = defaultdict(list)
    for photo in Photo.objects.kept().filter(photo_set__in=sets).select_related("publicity_consent").in_order():
        if len(found[photo.photo_set_id]) < PHOTOS_OF_A_CHECK:
            found[photo.photo_set_id].append(photo)
    return found
