"""What is on record of an owned piece, as the reckoning of its care dates reads it.

Only entries that stand today count. What the dates are is `fittings.care`'s; writing them is `fittings.caring`'s.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Max

from fittings.care.dates import CareFacts, CheckFound, Span
from fittings.care.grounds import OwnLife
from fittings.care.wear import WearTold
from fittings.hours_kept import salon_zone
from fittings.models import CareDate, ConditionCheck, LifeLearnt, OwnedPiece, Service, Wash, WearEntry
from pieces.models import Base

ENDS_A_LIFE: Final = ("fibre", "shedding", "colour", "base", "lace")
"""Clips and elastic are changed by themselves: they end no piece."""
MENDED: Final = ("base", "lace")
"""What a repair makes good: how it was found before the repair counts no longer."""


def care_facts(owned: OwnedPiece, *, standing: Iterable[CareDate], learn_from: float) -> CareFacts:
    """Fetch `owned` with `with_what_they_are()` first. learn_from: so many must have worn out for an own figure."""
    piece = owned.unit.variant.piece
    washes = Wash.objects.standing().filter(owned_piece=owned)
    last_deep_on = washes.filter(deep_care=True).aggregate(on=Max("washed_on"))["on"]
    since_deep = washes.filter(washed_on__gt=last_deep_on) if last_deep_on else washes
    zone = salon_zone()
    checks = list(ConditionCheck.objects.standing().filter(owned_piece=owned).order_by("checked_at", "pk"))
    return CareFacts(
        fibre=piece.fibre,
        since=owned.since,
        lace_front=piece.base.construction == Base.Construction.LACE or piece.base.front_edge == Base.FrontEdge.LACE,
        wear=_wear_told(owned),
        takes_turns_since=max(owned.since, owned.partner.since) if owned.partner else None,
        last_wash_on=washes.aggregate(on=Max("washed_on"))["on"],
        washes_since_deep=since_deep.values("washed_on").distinct().count(),
        last_check_on=max((_day(check, zone) for check in checks), default=None),
        checks=_found(checks, _mended_on(owned, zone) if checks else None, zone),
        tape_since=_tape_since(owned),
        own_life=own_life(piece.fibre, learn_from=learn_from),
        standing={row.kind: Span(row.due_on, row.earliest_on, row.latest_on) for row in standing},
    )


def own_life(fibre: str, *, learn_from: float) -> OwnLife | None:
    """How long the salon's own pieces of the fibre lasted, once enough of them have worn out."""
    learnt = LifeLearnt.objects.filter(fibre=fibre, ended__gte=learn_from, median_days__gte=1).first()
    if learnt is None or learnt.median_days is None:
        return None
    return OwnLife(learnt.pieces, learnt.ended, learnt.median_days, learnt.low_days, learnt.high_days)


def _wear_told(owned: OwnedPiece) -> tuple[WearTold, ...]:
    """Of two in turns, what she said of either: it is one head that wears them."""
    pair = [owned.pk, owned.partner_id] if owned.partner_id else [owned.pk]
    entries = WearEntry.objects.standing().filter(owned_piece__in=pair).order_by("told_on", "pk")
    return tuple(
        WearTold(
            on=entry.told_on,
            days_per_week=entry.days_per_week,
            hours_per_day=None if entry.hours_per_day is None else float(entry.hours_per_day),
            worn_to_bed=_yes_or_no(entry.worn_to_bed),
            swum_in=_yes_or_no(entry.swum_in),
            hard_water=None if not entry.water else entry.water == WearEntry.Water.HARD,
        )
        for entry in entries
    )


def _yes_or_no(answer: str) -> bool | None:
    return None if not answer else answer == "yes"


def _found(checks: Iterable[ConditionCheck], mended_on: date | None, zone: ZoneInfo) -> tuple[CheckFound, ...]:
    found = []
    for check in checks:
        on = _day(check, zone)
        parts = [part for part in ENDS_A_LIFE if part not in MENDED or mended_on is None or on > mended_on]
        worst = max((grade for part, grade in check.grades.items() if part in parts), default=None)
        if worst is not None:
            found.append(CheckFound(on, worst))
    return tuple(found)


def _mended_on(owned: OwnedPiece, zone: ZoneInfo) -> date | None:
    """The day of the last repair, in the house or out of it."""
    done = Service.objects.done().filter(owned_piece=owned, kind=Service.Kind.REPAIR).aggregate(at=Max("done_at"))["at"]
    back = owned.repairs.aggregate(on=Max("back_on"))["on"]
    return max((day for day in (done and done.astimezone(zone).date(), back) if day), default=None)


def _tape_since(owned: OwnedPiece) -> date | None:
    """The day of the oldest tape on it; one without a readable day is passed over."""
    days = []
    for area in owned.tape:
        try:
            days.append(date.fromisoformat(area["since"]))
        except (KeyError, TypeError, ValueError):
            continue
    return min(days, default=None)


def _day(check: ConditionCheck, zone: ZoneInfo) -> date:
    return check.checked_at.astimezone(zone).date()
