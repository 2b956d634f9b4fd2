"""The desk's rules once more, as plainly as can be: what is held is a set of minutes, and hours are read off the clock.

Nothing here knows spans, queries or constraints. A minute is a whole number since 1970; slow, and hard to get wrong.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta

STANDING = {"booked", "arrived", "in the chair", "done"}


def minute(moment):
    return int(moment.timestamp()) // 60


@dataclass
class Kind:
    minutes: int
    clean_up: int
    sorts: set
    done_by: set  # empty: everybody


@dataclass
class Visit:
    client: object
    kind: object
    stylist: object
    place: object
    begins: int
    ends: int = 0
    place_free: int = 0
    state: str = "booked"

    def sits(self):
        return set(range(self.begins, self.ends))

    def holds_place(self):
        return set(range(self.begins, self.place_free))


@dataclass
class NaiveDesk:
    zone: object
    kinds: dict
    sorts: dict  # of the places
    now: int
    opening: dict = field(default_factory=dict)  # weekday: (opens, closes); empty: no limit
    closures: list = field(default_factory=list)  # (first day, last day, opens, closes)
    working: dict = field(default_factory=dict)  # stylist: weekday: (begins, ends, break begins, break ends)
    away: list = field(default_factory=list)  # (stylist, minutes)
    visits: dict = field(default_factory=dict)

    def against(self, wanted, but=None):
        """The codes of all that stands in the way; `but`: the visit that is to be moved."""
        was = self.visits.get(but)
        if wanted.begins < self.now - 15 and not (was and was.begins == wanted.begins):
            return {"past"}
        others = [visit for key, visit in self.visits.items() if key != but and visit.state in STANDING]
        kind, sits, found = self.kinds[wanted.kind], wanted.sits(), set()
        if any(sits & other.sits() for other in others if other.client == wanted.client):
            found.add("client")
        if any(sits & other.sits() for other in others if other.stylist == wanted.stylist):
            found.add("stylist")
        there = [other for other in others if other.place == wanted.place]
        if any(sits & other.sits() for other in there):
            found.add("place")
        elif any(wanted.holds_place() & other.holds_place() for other in there):
            found.add("clean-up")
        if kind.done_by and wanted.stylist not in kind.done_by:
            found.add("not done by")
        if self.sorts[wanted.place] not in kind.sorts:
            found.add("wrong place")
        return found | self.by_the_clock(sits, wanted.stylist)

    def by_the_clock(self, sits, stylist):
        found, clock = set(), {at: datetime.fromtimestamp(at * 60, UTC).astimezone(self.zone) for at in sits}
        closed_days = {here.date() for here in clock.values() if not self.opens_at_all(here.date())}
        first_day = clock[min(sits)].date()
        if any(self.is_holiday(day) for day in closed_days) or first_day in closed_days:
            found.add("closed")
        elif not all(self.is_open(here) for here in clock.values()):
            found.add("outside hours")
        if week := self.working.get(stylist):
            hours = week.get(first_day.isoweekday())
            if not hours or not all(
                here.date() == first_day and hours[0] <= here.time() < hours[1] for here in clock.values()
            ):
                found.add("not working")
            if hours and hours[2] and any(hours[2] <= here.time() < hours[3] for here in clock.values()):
                found.add("break")
        if any(sits & minutes for who, minutes in self.away if who == stylist):
            found.add("time off")
        return found

    def is_holiday(self, day):
        return any(first <= day <= last and opens is None for first, last, opens, _ in self.closures)

    def opens_at_all(self, day):
        midnight = datetime.combine(day, time.min)
        return any(self.is_open(midnight + timedelta(minutes=n)) for n in range(24 * 60))

    def is_open(self, here):
        if self.is_holiday(here.date()):
            return False
        hours = [self.opening.get(here.isoweekday(), (time.max, time.min))] if self.opening else []
        hours += [(opens, closes) for first, last, opens, closes in self.closures if first <= here.date() <= last]
        return all(opens <= here.time() < closes for opens, closes in hours)

    def span(self, wanted):
        """Write the end, and when the place is free again, on a visit of which the rest is known."""
        kind = self.kinds[wanted.kind]
        wanted.ends = wanted.begins + kind.minutes
        wanted.place_free = wanted.ends + kind.clean_up
        return wanted

    def put(self, key, wanted):
        """Let it stand: what is still cleaned when it begins is not cleaned any longer, nor it itself when another
        begins."""
        was = self.visits.pop(key, None)
        for other in self.visits.values():
            if other.state in STANDING and other.place == wanted.place:
                if other.begins < wanted.begins < other.place_free:
                    other.place_free = wanted.begins
                if wanted.begins < other.begins < wanted.place_free:
                    wanted.place_free = other.begins
        self.visits[key] = wanted
        if was:
            self.give_clean_up_back(was)

    def close(self, key, state):
        self.visits[key].state = state
        self.give_clean_up_back(self.visits[key])

    def done(self, key, at):
        visit = self.visits[key]
        visit.state = "done"
        visit.ends = min(visit.ends, max(at, visit.begins + 5))
        visit.place_free = min(visit.place_free, visit.ends + self.kinds[visit.kind].clean_up)

    def give_clean_up_back(self, gone):
        there = [v for v in self.visits.values() if v is not gone and v.state in STANDING and v.place == gone.place]
        for visit in there:
            if visit.ends <= gone.begins == visit.place_free:
                clean = visit.ends + self.kinds[visit.kind].clean_up
                later = [other.begins for other in there if other.begins >= gone.begins]
                visit.place_free = max(visit.place_free, min([clean, *later]))

    def overlaps(self):
        """Pairs of standing visits that share a client, a stylist or a place, and time."""
        standing = [(key, visit) for key, visit in self.visits.items() if visit.state in STANDING]
        return [
            (one_key, other_key)
            for n, (one_key, one) in enumerate(standing)
            for other_key, other in standing[n + 1 :]
            if ((one.client == other.client or one.stylist == other.stylist) and one.sits() & other.sits())
            or (one.place == other.place and one.holds_place() & other.holds_place())
        ]
