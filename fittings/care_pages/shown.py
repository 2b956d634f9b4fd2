"""What a piece's page and the client's page show of its care, to whom, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from clients.models import Client
from fittings.care.grounds import SOURCE_WORDS
from fittings.models import CareDate, OwnedPiece, Wash, WashLink
from salon.models import User

WASHES_SHOWN = 5


@dataclass(frozen=True)
class DateShown:
    """A date with what it rests on: (what it says, where that is from); none for who may not see how she wears it."""

    care_date: CareDate
    is_overdue: bool
    grounds: list[tuple[str, str]]


@dataclass(frozen=True)
class CareShown:
    dates: list[DateShown]
    sees_grounds: bool
    washes: list[Wash] = field(default_factory=list)
    washed_today: bool = False
    link: WashLink | None = None


def care_shown(owned: OwnedPiece, *, user: User, on: date) -> CareShown:
    """Three queries, whatever was recorded; one for the desk."""
    sees_wear = user.has_perm("fittings.view_wearentry")
    dates = [
        DateShown(row, row.due_on < on, grounds_of(row) if sees_wear else [])
        for row in owned.care_dates.select_related("told_by")
    ]
    if not user.has_perm("fittings.view_wash"):
        return CareShown(dates, sees_grounds=sees_wear)
    washes = Wash.objects.standing().filter(owned_piece=owned).select_related("recorded_by")
    shown = list(washes.order_by("-washed_on", "-pk")[:WASHES_SHOWN])
    link = WashLink.objects.live().filter(owned_piece=owned).first()
    washed_today = any(wash.washed_on == on for wash in shown)
    return CareShown(dates, sees_grounds=sees_wear, washes=shown, washed_today=washed_today, link=link)


def grounds_of(row: CareDate) -> list[tuple[str, str]]:
    """What a date rests on, in words: (what it says, where that is from)."""
    return [(ground["says"], SOURCE_WORDS[ground["source"]]) for ground in row.rests_on.get("grounds", [])]


def next_care(client: Client) -> list[CareDate]:
    """The next date of each piece she has, in one query; an expected end is no date to come for."""
    ahead: dict[int, CareDate] = {}
    rows = CareDate.objects.filter(owned_piece__client=client).exclude(kind=CareDate.Kind.REPLACE)
    for row in rows.order_by("due_on", "pk"):
        ahead.setdefault(row.owned_piece_id, row)
    return list(ahead.values())
