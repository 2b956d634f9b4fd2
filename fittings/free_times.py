"""When could a visit of this kind be held, by whom and where?

Asks the hours, the time off and every standing appointment in a fixed number of queries and offers the quarter hours of
the salon's wall clock. What is offered can be booked; what else could be booked with a reason is `obstacles`' to say.
Clean-up counts for the place alone, and may outlast the opening hours: those are for clients.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, Q

from clients.models import Client, SkinTest
from clients.models.health import SkinTestKind
from fittings.hours.free_starts import free_starts
from fittings.hours.spans import Span, minus
from fittings.hours.wall_clock import day_begins, steps_of_day
from fittings.hours.week import days_from
from fittings.hours_kept import salon_hours, salon_zone, stylists_hours
from fittings.models import Appointment, AwaitedPiece, PartOfDay, Place, Purpose, ServiceKind
from salon.models import User

STEP_MINUTES = 15
NOON = 12  # o'clock
LONGEST_WAIT = timedelta(hours=168)  # until a test can be read, by the bounds of Product
LONGEST = timedelta(minutes=600 + 240)  # a visit and its clean-up, by the constraints of ServiceKind
FOR_A_PIECE = (Purpose.FITTING, Purpose.CUT_IN, Purpose.COLOUR)  # what is not begun before a piece has come


@dataclass(frozen=True, slots=True)
class FreeTime:
    starts_at: datetime
    ends_at: datetime
    stylist: User
    place: Place


@dataclass(frozen=True, slots=True)
class Wish:
    """What the client would like: a `PartOfDay` by its value, ISO weekdays (none: any), with whom, where, from when."""

    stylist: User | None = None
    place: Place | None = None
    part_of_day: str = PartOfDay.ANY.value
    weekdays: frozenset[int] = frozenset()
    not_before: datetime | None = None

    def __post_init__(self) -> None:
        if self.part_of_day not in PartOfDay.values:
            raise ValueError(f"a part of the day is one of {', '.join(PartOfDay.values)}, got “{self.part_of_day}”")


ANYTHING = Wish()


@dataclass(frozen=True, slots=True)
class Wait:
    """Something a visit waits for, until when (None: nobody knows yet), in words a client may overhear."""

    until: datetime | None
    because: str


def stylists() -> Any:
    """Those who may hold a visit, as a QuerySet."""
    return User.objects.with_perm("fittings.add_fitting", backend="django.contrib.auth.backends.ModelBackend").order_by(
        "first_name", "username"
    )


def stylists_for(kind: ServiceKind) -> list[User]:
    """Those who do this kind of visit; every stylist where nobody is ticked."""
    ticked = ServiceKind.done_by.through.objects.filter(servicekind=kind)
    return list(stylists().filter(Q(pk__in=ticked.values("user")) | ~Exists(ticked)))


def places_for(kind: ServiceKind) -> list[Place]:
    return list(Place.objects.in_use().of_sorts(kind.place_sorts))


def free_times(
    *,
    kind: ServiceKind,
    since: datetime,
    days: int = 60,
    wish: Wish = ANYTHING,
    client: Client | None = None,
    besides: Appointment | None = None,
    at_most: int | None = None,
) -> list[FreeTime]:
    """The free times from `since` (or from the wish's `not_before`, if later) to the end of the last of so many days.

    In order of time; at one start each stylist once, with the first suiting place. `client`: her other appointments are
    kept clear of. `besides`: an appointment that is about to be moved does not stand in the way.
    """
    since = max(since, wish.not_before or since)
    found = _found(kind=kind, since=since, days=days, wish=wish, client=client, besides=besides)
    return list(islice(found, at_most))


def free_at(
    *, kind: ServiceKind, moment: datetime, wish: Wish = ANYTHING, client: Client | None = None
) -> list[FreeTime]:
    """Who could begin at that very moment, a quarter hour or not: each stylist once, with the first suiting place.

    Of the wish only who and where are looked at.
    """
    return list(_found(kind=kind, since=moment, days=1, wish=wish, client=client, besides=None, starts=[moment]))


def nearest_free_times(
    *,
    kind: ServiceKind,
    to: datetime,
    at: datetime,
    wish: Wish = ANYTHING,
    client: Client | None = None,
    besides: Appointment | None = None,
    count: int = 3,
) -> list[FreeTime]:
    """So many free times, no two at one moment, nearest to `to` on either side, never before `at`; in order of time."""
    since = max(at, wish.not_before or at, to - timedelta(days=30))
    before: deque[FreeTime] = deque(maxlen=count)
    after: list[FreeTime] = []
    for free in _found(kind=kind, since=since, days=61, wish=wish, client=client, besides=besides):
        last = after or before
        if last and last[-1].starts_at == free.starts_at:
            continue
        if free.starts_at < to:
            before.append(free)
        elif len(after) < count:
            after.append(free)
        else:
            break
    nearest = sorted([*before, *after], key=lambda free: abs(free.starts_at - to))[:count]
    return sorted(nearest, key=lambda free: free.starts_at)


def earliest_for(*, client: Client, kind: ServiceKind, at: datetime) -> list[Wait]:
    """What this visit of hers waits for: a piece on its way, a test that can't be read yet."""
    zone = salon_zone()
    return [*_waits_for_pieces(client, kind, at, zone), *_waits_for_tests(client, kind, at, zone)]


def _found(
    *,
    kind: ServiceKind,
    since: datetime,
    days: int,
    wish: Wish,
    client: Client | None,
    besides: Appointment | None,
    starts: list[datetime] | None = None,
) -> Iterator[FreeTime]:
    """Lazily, those from `since` on; `starts`: moments to look at instead of the quarter hours that suit the wish."""
    visit = timedelta(minutes=kind.minutes)
    # a day more at both ends: the zone is known only with the hours, and a visit may end after midnight
    first, last = since.date() - timedelta(days=1), since.date() + timedelta(days=days + 1)
    salon = salon_hours(first, last)
    today = since.astimezone(salon.zone).date()
    who = [one for one in stylists_for(kind) if wish.stylist in (None, one)]
    where = [one for one in places_for(kind) if wish.place in (None, one)]
    hours = stylists_hours(who, first, last)
    until = day_begins(today + timedelta(days=days), salon.zone)
    all_the_time = Span(since, until + visit + timedelta(minutes=kind.clean_up_minutes))
    taken = _taken(all_the_time, client, besides)
    if starts is None:
        starts = _starts(since, days_from(today, today + timedelta(days=days - 1)), wish, salon.zone)
    found = free_starts(
        starts=starts,
        stylists_free=[minus(hours[one.pk].at_work(salon), taken.of_stylist[one.pk] + taken.of_client) for one in who],
        places_free=[minus([all_the_time], taken.of_place[one.pk]) for one in where],
        minutes=kind.minutes,
        clean_up_minutes=kind.clean_up_minutes,
    )
    for starts_at, stylist, place in found:
        yield FreeTime(starts_at, starts_at + visit, who[stylist], where[place])


def _starts(since: datetime, days: Iterable[date], wish: Wish, zone: ZoneInfo) -> list[datetime]:
    """The quarter hours that suit the wish."""
    found: list[datetime] = []
    for day in days:
        if wish.weekdays and day.isoweekday() not in wish.weekdays:
            continue
        steps = steps_of_day(day, STEP_MINUTES, zone)
        if wish.part_of_day != PartOfDay.ANY:
            mornings = wish.part_of_day == PartOfDay.MORNINGS
            steps = [step for step in steps if (step.astimezone(zone).hour < NOON) == mornings]
        found += steps
    return [step for step in found if step >= since]


@dataclass(frozen=True, slots=True)
class _Taken:
    of_stylist: dict[int, list[Span]]
    of_place: dict[int, list[Span]]
    of_client: list[Span]


def _taken(during: Span, client: Client | None, besides: Appointment | None) -> _Taken:
    """What standing appointments hold. Asked by their beginnings, so that an index answers however many there are."""
    rows = Appointment.objects.standing().filter(starts_at__gt=during.starts_at - LONGEST, starts_at__lt=during.ends_at)
    if besides:
        rows = rows.exclude(pk=besides.pk)
    taken = _Taken(defaultdict(list), defaultdict(list), [])
    columns = ("stylist", "place", "client", "starts_at", "ends_at", "place_free_at")
    for stylist, place, whose, starts_at, ends_at, place_free_at in rows.order_by("starts_at").values_list(*columns):
        span = Span(starts_at, ends_at)
        taken.of_stylist[stylist].append(span)
        taken.of_place[place].append(Span(starts_at, place_free_at))
        if client and whose == client.pk:
            taken.of_client.append(span)
    return taken


def _waits_for_pieces(client: Client, kind: ServiceKind, at: datetime, zone: ZoneInfo) -> Iterator[Wait]:
    if kind.purpose not in FOR_A_PIECE:
        return
    for awaited in AwaitedPiece.objects.still_awaited().filter(client=client):
        if awaited.expected_on is None:
            yield Wait(None, f"{awaited.what} is on its way; nobody knows yet when it comes.")
        elif awaited.expected_on < at.astimezone(zone).date():
            yield Wait(None, f"{awaited.what} was expected on {_said(awaited.expected_on)} and has not come in.")
        else:
            until = day_begins(awaited.expected_on, zone)
            yield Wait(until, f"{awaited.what} is expected on {_said(awaited.expected_on)}.")


def _waits_for_tests(client: Client, kind: ServiceKind, at: datetime, zone: ZoneInfo) -> Iterator[Wait]:
    reads = kind.purpose == Purpose.TEST_READING
    kinds = [
        test
        for test, waits in (
            (SkinTestKind.ADHESIVE, kind.needs_tape_test or reads),
            (SkinTestKind.COLOUR, kind.needs_colour_test or reads),
        )
        if waits
    ]
    unread = SkinTest.objects.standing().filter(
        client=client, kind__in=kinds, read_at__isnull=True, applied_at__gt=at - LONGEST_WAIT
    )
    for test in unread.order_by("applied_at"):
        until = test.to_be_read_from
        if until <= at:
            continue
        local = until.astimezone(zone)
        yield Wait(until, f"A test is to be read, not before {_said(local.date())}, {local:%H:%M}.")


def _said(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B}"
