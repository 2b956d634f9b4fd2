"""Which reasons speak against an appointment? The one list that booking, moving and every page share.

Each says who or what stands in the way and until when, in a sentence for the desk, by the salon's clock. Some may be
gone past with a written reason; one place, stylist or client taken twice at once, never. When else it could be is
`fittings.free_times`' to say. However many appointments there have ever been, only those of a day are looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fittings.free_times import stylists
from fittings.hours.spans import Span
from fittings.hours.wall_clock import hours_on
from fittings.hours.week import days_from, open_spans
from fittings.hours_kept import SalonHours, StylistHours, salon_hours, salon_zone, stylists_hours
from fittings.models import Appointment, Weekday
from salon.models import User

HAPPENING_NOW = timedelta(minutes=15)  # what began no longer ago may still be written down
FURTHEST_BACK, FURTHEST_AHEAD = timedelta(days=366), timedelta(days=2 * 366)  # beyond, the year is a slip
A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One reason; `about` is the field of the appointment that another choice would have to be made of.

    Never gone past: client, stylist, place (taken at that time), past, far, record (erased, or gone into another one),
    not offered, not in use, not a stylist. Gone past with a written reason: closed, outside hours, not working, break,
    time off, not done by, wrong place, clean-up.
    """

    code: str
    says: str
    about: str
    may_pass: bool


def obstacles_to(appointment: Appointment, *, at: datetime) -> list[Obstacle]:
    """All that stands in the way of this appointment, saved or not, with its span worked out; `at` is now."""
    far_off = out_of_reach(appointment, at=at)
    if far_off:
        return far_off  # nothing else matters then
    visit = Span(appointment.starts_at, appointment.ends_at)
    first, last = visit.starts_at.date() - A_DAY, visit.ends_at.date() + A_DAY  # no zone is more than a day from UTC
    salon = salon_hours(first, last)
    hers = stylists_hours([appointment.stylist], first, last)[appointment.stylist_id]
    return [
        *_standing_facts(appointment),
        *_clashes(appointment, salon.zone),
        *_salon_closed(visit, salon),
        *_stylist_away(visit, appointment.stylist, hers, salon.zone),
    ]


def out_of_reach(appointment: Appointment, *, at: datetime) -> list[Obstacle]:
    """Whether it would begin in the past or in years to come; needs no span, for there may be none that far off."""
    starts_at = appointment.starts_at
    if starts_at < at - FURTHEST_BACK:
        return [_never("past", "That is more than a year ago; write the year again.")]
    if starts_at < at - HAPPENING_NOW and not _begins_as_before(appointment):
        return [_never("past", f"{moment_said(starts_at, salon_zone())} is over; choose a time to come.")]
    if starts_at > at + FURTHEST_AHEAD:
        return [_never("far", "That is more than two years ahead; choose a nearer day.")]
    return []


def _begins_as_before(appointment: Appointment) -> bool:
    """Whoever is late may still be given another chair or stylist."""
    if appointment._state.adding:
        return False
    kept = Appointment.objects.filter(pk=appointment.pk).values_list("starts_at", flat=True).first()
    return kept == appointment.starts_at


# Who and what can be booked at all


def _standing_facts(appointment: Appointment) -> Iterator[Obstacle]:
    client, kind, stylist, place = appointment.client, appointment.kind, appointment.stylist, appointment.place
    if client.erased_at:
        yield _never("record", "This record has been erased; nothing can be booked for it.", "client")
    elif client.merged_into:
        kept = client.merged_into
        yield _never("record", f"This record has gone into {kept.reference} ({kept}); book it there.", "client")
    if appointment._state.adding and not kind.is_offered:  # what was booked while it was offered may still be moved
        yield _never("not offered", f"{kind} can't be booked any more; choose another kind of visit.", "kind")
    if not place.is_in_use:
        yield _never("not in use", f"{place} can't be booked now; choose another place.", "place")
    elif place.sort not in kind.place_sorts:
        held = " or ".join(f"“{type(place).Sort(sort).label.lower()}”" for sort in kind.place_sorts)
        says = f"{kind} is held at a place of the sort {held}; {place} is a {place.get_sort_display().lower()}."
        yield _passable("wrong place", says, "place")
    if not stylists().filter(pk=stylist.pk).exists():
        yield _never("not a stylist", f"{stylist} may not hold visits; choose somebody who may.", "stylist")
    else:
        done_by = list(kind.done_by.all())
        if done_by and stylist not in done_by:
            who = " or ".join(str(one) for one in done_by)
            yield _passable("not done by", f"{kind} is not done by {stylist}, but by {who}.", "stylist")


# What is taken at that time


def _clashes(appointment: Appointment, zone: ZoneInfo) -> Iterator[Obstacle]:
    starts_at, ends_at = appointment.starts_at, appointment.ends_at
    standing = Appointment.objects.standing().exclude(pk=appointment.pk).select_related("client")
    with_client = standing.filter(client=appointment.client).overlapping(starts_at, ends_at).first()
    if with_client:
        begins, ends = clock_said(with_client.starts_at, zone), clock_said(with_client.ends_at, zone)
        yield _never("client", f"{appointment.client} already has an appointment from {begins} to {ends}.")
    with_stylist = standing.filter(stylist=appointment.stylist).overlapping(starts_at, ends_at).first()
    if with_stylist:
        when = f"until {clock_said(with_stylist.ends_at, zone)}"
        if with_stylist.starts_at > starts_at:
            when = f"from {clock_said(with_stylist.starts_at, zone)} {when}"
        yield _never("stylist", f"{appointment.stylist} is with {with_stylist.client} {when}.")
    yield from _place_taken(appointment, zone)


def _place_taken(appointment: Appointment, zone: ZoneInfo) -> Iterator[Obstacle]:
    """By another visit, or by the clean-up alone: that after a visit before this one, or that after this one."""
    place = appointment.place
    neighbours = list(
        Appointment.objects.standing()
        .exclude(pk=appointment.pk)
        .holding_place(place, appointment.starts_at, appointment.place_free_at)
        .select_related("client")
    )
    for other in neighbours:
        begins, free = clock_said(other.starts_at, zone), clock_said(other.place_free_at, zone)
        if other.starts_at < appointment.ends_at and other.ends_at > appointment.starts_at:
            if other.starts_at >= appointment.starts_at:
                yield _never("place", f"{place} is taken by {other.client} from {begins}.")
            else:
                yield _never("place", f"{place} is free again at {free}, after {other.client}.")
            return  # what else is at the place matters no more
    for other in neighbours:
        if other.ends_at <= appointment.starts_at:
            free = clock_said(other.place_free_at, zone)
            yield _passable("clean-up", f"{place} is cleaned after {other.client} and free again at {free}.")
        else:
            begins, free = clock_said(other.starts_at, zone), clock_said(appointment.place_free_at, zone)
            says = f"{place} has to be cleaned until {free}, and {other.client} has it from {begins}."
            yield _passable("clean-up", says)
            return  # whoever comes later still is in the way of that clean-up too


# When the salon is open and the stylist works


def _salon_closed(visit: Span, salon: SalonHours) -> Iterator[Obstacle]:
    first, last = _days_of(visit, salon.zone)
    rules = [rule for day in days_from(first, last) for rule in salon.rules_on(day)]
    closing = next((rule for rule in rules if rule.closes_the_day), None)
    if closing:
        yield _passable("closed", f"Closed {_days_said(closing.first, closing.last)}: {closing.because}.")
        return
    if any(span.holds(visit) for span in salon.open):
        return
    opens = open_spans(first, first, salon.week, salon.day_rules, salon.zone)
    short = next((rule for rule in rules if rule.holds_on(first)), None)
    on = f"on {_day_said(first)}: {short.because}" if short else f"on {Weekday(first.isoweekday()).label}s"
    if opens:
        begins, ends = clock_said(opens[0].starts_at, salon.zone), clock_said(opens[-1].ends_at, salon.zone)
        yield _passable("outside hours", f"Open from {begins} to {ends} {on}.")
    else:
        yield _passable("closed", f"Closed {on}.")


def _stylist_away(visit: Span, stylist: User, hers: StylistHours, zone: ZoneInfo) -> Iterator[Obstacle]:
    day, _ = _days_of(visit, zone)
    weekday = Weekday(day.isoweekday()).label
    if hers.week.days is not None:
        day_hours = hers.week.days.get(day.isoweekday())
        if day_hours is None:
            yield _passable("not working", f"{stylist} does not work on {weekday}s.")
        else:
            hours = hours_on(day, day_hours.begins, day_hours.ends, zone)
            if hours is None or not hours.holds(visit):
                worked = f"from {day_hours.begins:%H:%M} to {day_hours.ends:%H:%M}"
                yield _passable("not working", f"{stylist} works {worked} on {weekday}s.")
            pause = day_hours.break_on(day, zone)
            if pause and pause.shares_time_with(visit):
                resting = f"from {clock_said(pause.starts_at, zone)} to {clock_said(pause.ends_at, zone)}"
                yield _passable("break", f"{stylist} has a break {resting}.")
    away = next((span for span in hers.off if span.shares_time_with(visit)), None)
    if away:  # what for is not the client's to hear
        yield _passable("time off", f"{stylist} is away until {moment_said(away.ends_at, zone)}.")


def _days_of(visit: Span, zone: ZoneInfo) -> tuple[date, date]:
    """The days on which it begins and ends; one that ends at midnight has nothing of the day after."""
    last_moment = visit.ends_at - timedelta(microseconds=1)
    return visit.starts_at.astimezone(zone).date(), last_moment.astimezone(zone).date()


# Words


def clock_said(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%H:%M}"  # people read the salon's clock, the database keeps UTC


def moment_said(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%A} {_day_said(local.date())}, {local:%H:%M}"


def date_said(day: date) -> str:
    return f"{day:%A} {_day_said(day)} {day.year}"


def _day_said(day: date) -> str:
    return f"{day.day} {day:%B}"


def _days_said(first: date, last: date) -> str:
    if first == last:
        return f"on {_day_said(first)}"
    if (first.year, first.month) == (last.year, last.month):
        return f"from {first.day} to {_day_said(last)}"
    return f"from {_day_said(first)} to {_day_said(last)}"


def _never(code: str, says: str, about: str = "starts_at") -> Obstacle:
    return Obstacle(code, says, about, may_pass=False)


def _passable(code: str, says: str, about: str = "starts_at") -> Obstacle:
    return Obstacle(code, says, about, may_pass=True)
