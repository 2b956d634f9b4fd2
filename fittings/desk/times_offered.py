"""Which free times are shown, and how: by day, a few of each at once, the others behind “all”.

A day has some thirty quarter hours; on the telephone a handful is read out. The first one is always among them, then
whole hours before half hours before quarters.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import groupby

from django.utils.timezone import localtime

from clients.models import Client
from fittings.desk.chosen_time import code_of
from fittings.free_times import FreeTime, Wish, free_times
from fittings.models import Appointment, ServiceKind
from salon.models import User

FEW, DAYS_SHOWN = 5, 4
SOON_DAYS, FAR_DAYS = 10, 60  # most searches end within the first; the second is how far the desk ever looks


@dataclass(frozen=True)
class TimeOffered:
    """One start that a press can book; `others` are free at the same moment too."""

    free: FreeTime
    others: list[User] = field(default_factory=list)

    @property
    def code(self) -> str:
        return code_of(self.free.starts_at, self.free.stylist, self.free.place)

    @property
    def starts_at(self) -> datetime:
        return self.free.starts_at


@dataclass(frozen=True)
class DayOffered:
    day: date
    times: list[TimeOffered]

    @property
    def few(self) -> list[TimeOffered]:
        return a_few_of(self.times)


@dataclass(frozen=True)
class TimesOffered:
    """Some days with their times; `next_day` is where later ones begin, None when there are none within 60 days."""

    days: list[DayOffered]
    next_day: date | None


def times_offered(
    *,
    kind: ServiceKind,
    since: datetime,
    wish: Wish,
    client: Client | None = None,
    besides: Appointment | None = None,
    days_shown: int = DAYS_SHOWN,
) -> TimesOffered:
    """The first days on which the visit could be held. Looks near first, for that is where most are found."""
    found: list[DayOffered] = []
    for days in (SOON_DAYS, FAR_DAYS):
        found = by_day(free_times(kind=kind, since=since, days=days, wish=wish, client=client, besides=besides))
        if len(found) > days_shown:
            break
    shown = found[:days_shown]
    return TimesOffered(shown, shown[-1].day + timedelta(days=1) if len(found) > days_shown else None)


def by_day(times: Iterable[FreeTime]) -> list[DayOffered]:
    """Each start once, with the first who is free then and the names of the others."""
    starts = [
        TimeOffered(first, [other.stylist for other in others])
        for first, *others in (list(same) for _, same in groupby(times, key=lambda free: free.starts_at))
    ]
    return [
        DayOffered(day, list(of_day))
        for day, of_day in groupby(starts, key=lambda offered: localtime(offered.starts_at).date())
    ]


def a_few_of(times: list[TimeOffered]) -> list[TimeOffered]:
    """The first time of a day, and the roundest of the others, in order."""
    rest = sorted(times[1:], key=lambda offered: (_coarseness(offered.starts_at), offered.starts_at))
    return times[:1] + sorted(rest[: FEW - 1], key=lambda offered: offered.starts_at)


def _coarseness(moment: datetime) -> int:
    minute = localtime(moment).minute
    return 0 if minute == 0 else 1 if minute == 30 else 2
