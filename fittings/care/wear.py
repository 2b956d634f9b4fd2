"""How fast does the way she wears a piece use it up, and on which day is so much of it used?

What she tells holds from that day on; what she told first holds for the time before it too. What she was never asked is
taken from the house: days a week and hours a day at the assumed number, and a bed, swimming or hard water as not so,
which makes no date later than she could know. Rates are per calendar day. Pure: no Django, no records.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, timedelta
from typing import Final

EIGHT_HOURS: Final = 8.0  # the day in which the house counts a life
LONGEST_DAYS: Final = 3660  # nothing is reckoned further than ten years ahead
_CLOSE: Final = 1e-9  # a rounding error, not a day


@dataclass(frozen=True)
class WearTold:
    """What she told of how she wears it from that day on; None: not asked."""

    on: date
    days_per_week: float | None = None
    hours_per_day: float | None = None
    worn_to_bed: bool | None = None
    swum_in: bool | None = None
    hard_water: bool | None = None


ASKED: Final = tuple(field.name for field in fields(WearTold) if field.name != "on")


@dataclass(frozen=True)
class WearStretch:
    """How it is worn from a day on. `assumed` names what nobody asked her."""

    since: date
    days_per_week: float
    hours_per_day: float
    worn_to_bed: bool
    swum_in: bool
    hard_water: bool
    takes_turns: bool
    assumed: frozenset[str]

    @property
    def worn_a_day(self) -> float:
        """Days it is worn, per calendar day: of two pieces in turns each is worn half of her days."""
        return self.days_per_week / 7 / (2 if self.takes_turns else 1)


def wear_stretches(
    told: Iterable[WearTold], *, since: date, takes_turns_since: date | None, numbers: Mapping[str, float]
) -> tuple[WearStretch, ...]:
    """The time from `since` on, cut where she told something new or the turns begin; the last one has no end."""
    in_order = sorted(told, key=lambda word: word.on)
    cuts = {since, *(word.on for word in in_order if word.on > since)}
    if takes_turns_since is not None:
        cuts.add(max(since, takes_turns_since))
    return tuple(_stretch(cut, in_order, takes_turns_since, numbers) for cut in sorted(cuts))


def wash_rates(stretches: Iterable[WearStretch], numbers: Mapping[str, float]) -> list[tuple[date, float]]:
    """(from that day, wears a calendar day): a wear in hard water, or swum in, counts for more than one."""
    return [
        (
            stretch.since,
            stretch.worn_a_day
            / _left(numbers, "care_wash_hard_water_percent", stretch.hard_water)
            / _left(numbers, "care_wash_swim_percent", stretch.swum_in),
        )
        for stretch in stretches
    ]


def life_rates(
    stretches: Iterable[WearStretch], numbers: Mapping[str, float], *, lace_front: bool
) -> list[tuple[date, float]]:
    """(from that day, days of eight hours a calendar day), each day counted for more by what shortens a life."""
    return [
        (
            stretch.since,
            stretch.worn_a_day
            * stretch.hours_per_day
            / EIGHT_HOURS
            / _left(numbers, "care_life_bed_percent", stretch.worn_to_bed)
            / _left(numbers, "care_life_swim_percent", stretch.swum_in)
            / _left(numbers, "care_life_hard_water_percent", stretch.hard_water)
            / _left(numbers, "care_life_lace_percent", lace_front),
        )
        for stretch in stretches
    ]


def day_used_up(start: date, amount: float, rates: Sequence[tuple[date, float]]) -> date | None:
    """The first day by whose end `amount` is used from `start` on; None when that is ten years away or never.

    rates: in order of their days; the first holds before its day too. At least one day passes.
    """
    left, day = amount, start
    ends = [begins for begins, _ in rates[1:]]
    for (_, rate), until in zip(rates, [*ends, None], strict=True):
        if until is not None and until <= day:
            continue
        needed = math.ceil(left / rate - _CLOSE) if rate > 0 else math.inf
        room = (until - day).days if until is not None else LONGEST_DAYS
        if needed <= room:
            return max(day + timedelta(days=int(needed)), start + timedelta(days=1))
        if until is None:
            break
        left -= rate * room
        day = until
    return None


def _left(numbers: Mapping[str, float], key: str, holds: bool) -> float:
    return 1 - numbers[key] / 100 if holds else 1.0


def _stretch(
    day: date, told: Sequence[WearTold], takes_turns_since: date | None, numbers: Mapping[str, float]
) -> WearStretch:
    known = {name: _known(name, day, told) for name in ASKED}
    days, hours = known["days_per_week"], known["hours_per_day"]
    return WearStretch(
        since=day,
        days_per_week=numbers["care_assumed_days_per_week"] if days is None else float(days),
        hours_per_day=numbers["care_assumed_hours_per_day"] if hours is None else float(hours),
        worn_to_bed=bool(known["worn_to_bed"]),
        swum_in=bool(known["swum_in"]),
        hard_water=bool(known["hard_water"]),
        takes_turns=takes_turns_since is not None and day >= takes_turns_since,
        assumed=frozenset(name for name, value in known.items() if value is None),
    )


def _known(name: str, day: date, told: Sequence[WearTold]) -> float | bool | None:
    """What she said last by that day; before she said anything, what she said first."""
    said: list[tuple[date, float | bool]] = [
        (word.on, value) for word in told if (value := getattr(word, name)) is not None
    ]
    by_then = [value for on, value in said if on <= day]
    return by_then[-1] if by_then else (said[0][1] if said else None)
