"""Gives an appointment its time and place, or refuses with all that stands in the way and when else it could be.

Whoever takes or changes a time holds the client, the place and the stylist first, so that the question what stands in
the way and the writing are one step. The database has the last word all the same (an exclusion constraint on
PostgreSQL, triggers on SQLite), and its refusal becomes the same kind of sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from clients.models import Client
from fittings.free_times import FreeTime, Wish, nearest_free_times
from fittings.hours_kept import salon_zone
from fittings.models import Appointment, AppointmentChange, Place
from fittings.obstacles import Obstacle, clock_said, moment_said, obstacles_to, out_of_reach
from fittings.reminding import tell_of
from salon.models import User

What = AppointmentChange.What

LONGEST_REASON = 240
TAKEN_MEANWHILE = Obstacle("place", "That time has just been taken; choose another.", "starts_at", may_pass=False)
NOT_AT_ANY_TIME = {"record", "not offered", "far"}
ANOTHER_STYLIST = {"not done by", "not a stylist"}


class BookingRefused(ValidationError):  # noqa: N818  # a refusal, as the deeds of this house say it
    """Why an appointment can't stand, and when it could: `messages` say both to whoever shows nothing else."""

    def __init__(
        self, obstacles: Sequence[Obstacle], nearest: Sequence[FreeTime] = (), *, wanted: Appointment | None = None
    ) -> None:
        says: dict[str, list[str]] = {}
        for obstacle in obstacles:
            says.setdefault(obstacle.about, []).append(obstacle.says)
        if nearest and wanted:
            says.setdefault("starts_at", []).append(_nearest_said(nearest, wanted, salon_zone()))
        super().__init__(says)
        self.obstacles = list(obstacles)
        self.nearest = list(nearest)
        self.wanted = wanted

    @property
    def may_pass(self) -> bool:
        """Whether a written reason is enough to go past all that stands in the way."""
        return all(obstacle.may_pass for obstacle in self.obstacles)


@contextmanager
def saying_when_else(*, at: datetime) -> Iterator[None]:
    """Adds the nearest free times to a refusal; goes around the transaction: nobody waits while they are found."""
    try:
        yield
    except BookingRefused as refusal:
        nearest = _nearest_to(refusal, at=at)
        raise BookingRefused(refusal.obstacles, nearest, wanted=refusal.wanted) from refusal


def hold(*, client: Client, places: Iterable[Place], stylists: Iterable[User]) -> Client:
    """Hold the client, the places and the stylists until the transaction ends; the client as kept now.

    Always in this order, and appointments after them, so that of two deeds none holds what the other waits for.
    Where the whole database is held by whoever writes (SQLite), this only reads.
    """
    kept = Client.objects.select_for_update(no_key=True).get(pk=client.pk)
    for rows in (
        Place.objects.filter(pk__in=[one.pk for one in places]),
        User.objects.filter(pk__in=[one.pk for one in stylists]),
    ):
        list(rows.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    return kept


def take_time(
    appointment: Appointment, what: AppointmentChange.What, *, by: User, at: datetime, anyway_because: str
) -> None:
    """Work out the span, look for obstacles, save and write down; who and what it touches is held already."""
    because = anyway_because.strip()
    if len(because) > LONGEST_REASON:
        raise ValidationError({"anyway_because": f"Write the reason in {LONGEST_REASON} characters at most."})
    if far_off := out_of_reach(appointment, at=at):
        raise BookingRefused(far_off, wanted=appointment)
    # in UTC, for Python adds minutes to a local time by the clock on the wall, which the night of a change falsifies
    appointment.starts_at = appointment.starts_at.astimezone(UTC)
    appointment.ends_at = appointment.starts_at + timedelta(minutes=appointment.kind.minutes)
    appointment.place_free_at = appointment.ends_at + timedelta(minutes=appointment.kind.clean_up_minutes)
    appointment.full_clean()
    obstacles = obstacles_to(appointment, at=at)
    if obstacles and not (because and all(obstacle.may_pass for obstacle in obstacles)):
        raise BookingRefused(obstacles, wanted=appointment)
    try:
        with transaction.atomic():
            if any(obstacle.code == "clean-up" for obstacle in obstacles):
                _cut_clean_up_short(appointment)
            appointment.save()
    except IntegrityError as refusal:
        # somebody wrote past this module between the question and the save; say who, now that it can be seen
        seen = [obstacle for obstacle in obstacles_to(appointment, at=at) if not obstacle.may_pass]
        raise BookingRefused(seen or [TAKEN_MEANWHILE], wanted=appointment) from refusal
    write_down(appointment, what, by=by, at=at, because=because if obstacles else "", passed=obstacles)


def write_down(
    appointment: Appointment,
    what: AppointmentChange.What,
    *,
    by: User,
    at: datetime,
    because: str = "",
    passed: Sequence[Obstacle] = (),
) -> None:
    """Keep what was done to the appointment, and bring the messages about it in step."""
    change = AppointmentChange(
        appointment=appointment,
        what=what,
        by=by,
        at=at,
        starts_at=appointment.starts_at,
        stylist=appointment.stylist,
        place=appointment.place,
        because=because,
        passed=[{"code": obstacle.code, "says": obstacle.says} for obstacle in passed],
    )
    change.full_clean()
    change.save()
    tell_of(appointment=appointment, at=at)


def give_clean_up_back(*, place: Place, from_: datetime) -> None:
    """Let the clean-up that was cut short for an appointment beginning then take its usual time again."""
    standing = Appointment.objects.standing().filter(place=place)
    earlier = (
        standing.holding_place(place, from_ - timedelta(seconds=1), from_)
        .filter(ends_at__lte=from_, place_free_at=from_)
        .select_related("kind")
        .select_for_update(of=("self",), no_key=True)
        .first()
    )
    if earlier is None:
        return
    clean_at = earlier.ends_at + timedelta(minutes=earlier.kind.clean_up_minutes)
    next_one = standing.filter(starts_at__gte=from_, starts_at__lt=clean_at).first()
    if next_one:
        clean_at = next_one.starts_at
    if clean_at > earlier.place_free_at:
        earlier.place_free_at = clean_at
        earlier.save(update_fields=["place_free_at", "changed_at"])


def _cut_clean_up_short(appointment: Appointment) -> None:
    """The place is handed on without its usual clean-up, before this visit, after it or both."""
    at_place = (
        Appointment.objects.standing()
        .exclude(pk=appointment.pk)
        .holding_place(appointment.place, appointment.starts_at, appointment.place_free_at)
        .select_for_update(no_key=True)
    )
    for other in at_place:
        if other.starts_at < appointment.starts_at:
            other.place_free_at = appointment.starts_at
            other.save(update_fields=["place_free_at", "changed_at"])
        else:
            appointment.place_free_at = min(appointment.place_free_at, other.starts_at)


def _nearest_to(refusal: BookingRefused, *, at: datetime) -> list[FreeTime]:
    """With the stylist who was asked for, or with anybody when she can't do it or has no time at all."""
    wanted, codes = refusal.wanted, {obstacle.code for obstacle in refusal.obstacles}
    if wanted is None or codes & NOT_AT_ANY_TIME:
        return []

    def nearest(wish: Wish) -> list[FreeTime]:
        return nearest_free_times(
            kind=wanted.kind,
            to=max(wanted.starts_at, at),
            at=at,
            wish=wish,
            client=wanted.client,
            besides=None if wanted._state.adding else wanted,
        )

    with_her = [] if codes & ANOTHER_STYLIST else nearest(Wish(stylist=wanted.stylist))
    return with_her or nearest(Wish())


def _nearest_said(nearest: Sequence[FreeTime], wanted: Appointment, zone: ZoneInfo) -> str:
    day, said = wanted.starts_at.astimezone(zone).date(), []
    for free in nearest:
        same_day = free.starts_at.astimezone(zone).date() == day
        when = clock_said(free.starts_at, zone) if same_day else moment_said(free.starts_at, zone)
        other = [str(free.stylist)] if free.stylist.pk != wanted.stylist_id else []
        other += [str(free.place)] if free.place.pk != wanted.place_id else []
        said.append(f"{when} ({', '.join(other)})" if other else when)
    if len(said) == 1:
        return f"The nearest free time is {said[0]}."
    return f"The nearest free times are {'; '.join(said[:-1])} and {said[-1]}."
