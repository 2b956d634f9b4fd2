"""The demo salon itself: its name and town, its rooms, what is booked there, who works there and when. All invented.

The numbers are from ranges that belong to nobody (British drama numbers), the addresses from the reserved `.example`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils.timezone import localdate, localtime

from fittings.furnishing import add_kind_of_visit, add_place
from fittings.keeping_hours import (
    OpeningDay,
    WorkingDay,
    keep_closure,
    keep_opening_hours,
    keep_time_off,
    keep_working_hours,
)
from fittings.models import Place, Purpose, Service
from pieces.pricing import add_priced_service, add_tax_rate
from salon.demo.clock import clock_at
from salon.demo.people import PEOPLE
from salon.making_users import make_user
from salon.models import Salon, User

PRIVATE_ROOM = "The quiet room"
CHAIR_1, CHAIR_2, BASIN = "Chair 1", "Chair 2", "Basin"
PLACES = {
    PRIVATE_ROOM: Place.Sort.ROOM,
    CHAIR_1: Place.Sort.CHAIR,
    CHAIR_2: Place.Sort.CHAIR,
    BASIN: Place.Sort.BASIN,
}

CONSULT, FITTING, CUT_IN, CHECK_UP = "Consult", "Fitting", "Cut-in and teaching", "Check-up"
WASH, REPAIR, SKIN_TEST = "Wash and care", "Repair", "Skin test"


@dataclass(frozen=True)
class Kind:
    """A kind of visit; it is held where its purpose usually is. Prices in pence, nobody named: every stylist."""

    name: str
    purpose: Purpose
    minutes: int
    clean_up_minutes: int
    price_minor: int = 0
    deposit_minor: int = 0
    done_by: tuple[str, ...] = ()
    needs_tape_test: bool = False
    needs_colour_test: bool = False


KINDS = (
    Kind(CONSULT, Purpose.CONSULT, 90, 15, 6500, 2000, done_by=("stylist", "stylist2")),
    Kind(FITTING, Purpose.FITTING, 60, 10, 4500, needs_tape_test=True),
    Kind(CUT_IN, Purpose.CUT_IN, 75, 10, 8500, needs_tape_test=True),
    Kind("Colour", Purpose.COLOUR, 120, 15, 9500, 3000, done_by=("stylist2",), needs_colour_test=True),
    Kind(WASH, Purpose.WASH, 45, 10, 3500),
    Kind(CHECK_UP, Purpose.CHECK_UP, 30, 5, 2000),
    Kind(REPAIR, Purpose.REPAIR, 45, 5, 3000, done_by=("stylist",)),
    Kind(SKIN_TEST, Purpose.SKIN_TEST, 15, 5),
    Kind("Skin test read", Purpose.TEST_READING, 15, 5),
)

USUAL_RATE = "Tax at the usual rate"
PRICE_LIST = (  # what is not a piece, in pence with tax
    ("Cut-in", 8500, Service.Kind.CUT_IN),
    ("Colour on a piece", 4500, Service.Kind.COLOUR),
    ("Wash and dry", 3500, Service.Kind.WASH),
    ("Set of tape", 1200, Service.Kind.TAPE),
    ("Brush for long hair", 1850, ""),
    ("Stand for the night", 1400, ""),
    ("Mild shampoo, a bottle", 1250, ""),
)

MONDAY, SATURDAY, SUNDAY = 1, 6, 7
OPENS, CLOSES, CLOSES_ON_SATURDAY = time(9), time(18, 30), time(14)
OPENING: dict[int, OpeningDay] = {day: {"opens": OPENS, "closes": CLOSES} for day in range(MONDAY, SATURDAY)}
OPENING[SATURDAY] = {"opens": OPENS, "closes": CLOSES_ON_SATURDAY}
# when each begins, and her break; both stay until the salon closes
BEGINS_AND_BREAK = {"stylist": (time(9), time(13), time(13, 30)), "stylist2": (time(10), time(12, 30), time(13))}
OPEN_FOR_DAYS = 440  # before the first visit that is told of by name
OPEN_BEFORE_STRANGERS_DAYS = 20


def open_shop() -> Salon:
    """Write down what stands on the salon's papers, and add its places."""
    salon = Salon.objects.default()
    salon.name = "Brackwater's"
    salon.address = "14 Ferrier's Row\nTarrowmere"
    salon.phone = "01632 960 118"
    salon.email = "desk@brackwaters.example"
    salon.after_hours_advice = "Leave a message on 01632 960 118; it is heard before nine the next morning."
    salon.time_zone, salon.currency, salon.country = "Europe/London", "GBP", "GB"
    salon.full_clean()
    salon.save()
    for name, sort in PLACES.items():
        add_place(name=name, sort=sort)
    return salon


def opened_at(at: datetime, *, years: int) -> datetime:
    """When the salon opened, for it to have been there so many years and for all visits that are told of."""
    return at - timedelta(days=max(OPEN_FOR_DAYS, 365 * years + OPEN_BEFORE_STRANGERS_DAYS))


def take_staff_on(*, opened: datetime) -> dict[str, User]:
    """The people of `people.PEOPLE` by the name they sign in with, each in her role since the salon opened."""
    with clock_at(opened):
        return {
            person.username: make_user(
                username=person.username,
                role=person.role,
                password=person.password,
                first_name=person.first_name,
                last_name=person.last_name,
            )
            for person in PEOPLE
        }


def set_up(staff: Mapping[str, User], *, opened: datetime) -> None:
    """What the owner wrote down when the salon opened: kinds of visit, prices, hours, and who does what."""
    owner = staff["owner"]
    with clock_at(opened):
        for kind in KINDS:
            add_kind_of_visit(
                name=kind.name,
                purpose=kind.purpose,
                minutes=kind.minutes,
                clean_up_minutes=kind.clean_up_minutes,
                price_minor=kind.price_minor,
                deposit_minor=kind.deposit_minor,
                needs_tape_test=kind.needs_tape_test,
                needs_colour_test=kind.needs_colour_test,
                done_by=[staff[name] for name in kind.done_by],
                by=owner,
            )
        add_tax_rate(name=USUAL_RATE, basis_points=2000, is_usual=True, by=owner)
        for name, price_minor, done_as in PRICE_LIST:
            add_priced_service(name=name, price_minor=price_minor, done_as=done_as, by=owner)
        keep_opening_hours(hours=OPENING, by=owner)
        for name in BEGINS_AND_BREAK:
            keep_working_hours(stylist=staff[name], hours=_week_of(name), by=owner)


def look_ahead(staff: Mapping[str, User], *, at: datetime) -> None:
    """Closures and days off in the weeks to come, beyond what is booked."""
    today, owner = localdate(at), staff["owner"]
    for days, opens, because in ((24, None, "Works on the water pipes"), (52, time(13), "Training in the morning")):
        day = _weekday_from(today + timedelta(days=days))
        keep_closure(
            closure=None,
            fields={
                "first_day": day,
                "last_day": day,
                "because": because,
                "opens": opens,
                "closes": CLOSES if opens else None,
            },
            by=owner,
            on=today,
        )
    zone = localtime(at).tzinfo
    for name, days, begins, long, because in (
        ("stylist", 17, OPENS, timedelta(hours=3), "A course on lace fronts"),
        ("stylist2", 31, time(0), timedelta(days=5), "Holiday"),
    ):
        starts_at = datetime.combine(_weekday_from(today + timedelta(days=days)), begins, tzinfo=zone)
        keep_time_off(
            time_off=None,
            fields={"stylist": staff[name], "starts_at": starts_at, "ends_at": starts_at + long, "because": because},
            by=staff["desk"],
            at=at,
        )


def while_open(day: date, begins: time) -> time:
    """That time of day, or a Saturday morning's where it would be a Saturday afternoon."""
    return time(10) if day.isoweekday() == SATURDAY and begins > time(12, 30) else begins


def _week_of(name: str) -> dict[int, WorkingDay]:
    begins, break_begins, break_ends = BEGINS_AND_BREAK[name]
    return {
        day: {"begins": begins, "ends": hours["closes"], "break_begins": break_begins, "break_ends": break_ends}
        for day, hours in OPENING.items()
    }


def _weekday_from(day: date) -> date:
    """That day, or the Monday after it at a weekend."""
    return day + timedelta(days=max(0, SUNDAY + 1 - day.isoweekday()) if day.isoweekday() >= SATURDAY else 0)
