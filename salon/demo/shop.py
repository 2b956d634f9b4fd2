"""The demo salon itself: its name and town, its rooms, what can be booked there, and who works in it. All invented.

The numbers are from ranges that belong to nobody (British drama numbers), the addresses from the reserved `.example`.
"""

from __future__ import annotations

from fittings.furnishing import add_kind_of_visit, add_place
from fittings.models import Place, Purpose
from salon.demo.people import PEOPLE
from salon.making_users import make_user
from salon.models import Salon, User

PRIVATE_ROOM = "The quiet room"
CHAIR_1, CHAIR_2, BASIN = "Chair 1", "Chair 2", "Basin"

CONSULT, CUT_IN, CHECK_UP, WASH, SKIN_TEST = "Consult", "Cut-in and teaching", "Check-up", "Wash and care", "Skin test"
PLACES = {
    PRIVATE_ROOM: Place.Sort.ROOM,
    CHAIR_1: Place.Sort.CHAIR,
    CHAIR_2: Place.Sort.CHAIR,
    BASIN: Place.Sort.BASIN,
}
# minutes, minutes before the place is free again, price in pence
KINDS = {
    CONSULT: (90, 15, 6500),
    CUT_IN: (75, 10, 8500),
    CHECK_UP: (30, 5, 2000),
    WASH: (45, 10, 3500),
    SKIN_TEST: (15, 5, 0),
}
PURPOSES = {
    CONSULT: Purpose.CONSULT,
    CUT_IN: Purpose.CUT_IN,
    CHECK_UP: Purpose.CHECK_UP,
    WASH: Purpose.WASH,
    SKIN_TEST: Purpose.SKIN_TEST,
}


def open_shop() -> Salon:
    """Write down what stands on the salon's papers, and add its places and kinds of visit."""
    salon = Salon.objects.default()
    salon.name = "Brackwater's"
    salon.address = "14 Ferrier's Row\nTarrowmere"
    salon.phone = "01632 960 118"
    salon.email = "desk@brackwaters.example"
    salon.after_hours_advice = "Leave a message on 01632 960 118; it is heard before nine the next morning."
    salon.time_zone, salon.currency = "Europe/London", "GBP"
    salon.full_clean()
    salon.save()
    for name, sort in PLACES.items():
        add_place(name=name, sort=sort)
    for name, (minutes, clean_up_minutes, price_minor) in KINDS.items():
        add_kind_of_visit(
            name=name,
            minutes=minutes,
            clean_up_minutes=clean_up_minutes,
            price_minor=price_minor,
            purpose=PURPOSES[name],
        )
    return salon


def take_staff_on() -> dict[str, User]:
    """The people of `people.PEOPLE` by the name they sign in with, each in her role."""
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
