"""What a salon still lacks before it can be booked as it works, the first thing first."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from fittings.free_times import stylists
from fittings.models import OpeningHours, Place, ServiceKind
from salon.models import Salon


@dataclass(frozen=True)
class Lack:
    """One thing to do, why, and where."""

    says: str
    because: str
    address: str
    deed: str


def what_is_missing(salon: Salon) -> list[Lack]:
    """In the order in which it is best done; four queries."""
    places = list(Place.objects.in_use())
    kinds = list(ServiceKind.objects.offered().prefetch_related("done_by"))
    people = list(stylists())
    lacks = []
    if not salon.phone and not salon.address:
        lacks.append(
            Lack(
                "The salon's address and telephone number are empty.",
                "They stand on papers and in messages; the time zone and the country are asked there too.",
                reverse("salon-settings"),
                "Write them down",
            )
        )
    if not places:
        lacks.append(
            Lack(
                "There is no room, chair or basin.",
                "A visit is booked at a place, so that two clients never meet in one.",
                reverse("place-new"),
                "Add a place",
            )
        )
    if not kinds:
        lacks.append(
            Lack(
                "There is no kind of visit.",
                "It says how long a visit takes, where it is held and what must be ready before it.",
                reverse("kind-new"),
                "Add a kind of visit",
            )
        )
    if not OpeningHours.objects.exists():
        lacks.append(
            Lack(
                "The opening hours are not written down.",
                "Until they are, any hour of any day can be booked.",
                reverse("opening-hours"),
                "Write them down",
            )
        )
    if not people:
        lacks.append(
            Lack(
                "There is nobody who can hold a visit.",
                "A visit is booked with somebody whose role is stylist or owner.",
                reverse("person-new"),
                "Let somebody in",
            )
        )
    return lacks + _kinds_that_cannot_be_booked(kinds, {place.sort for place in places}, {user.pk for user in people})


def _kinds_that_cannot_be_booked(kinds: list[ServiceKind], sorts: set[str], people: set[int]) -> list[Lack]:
    lacks = []
    for kind in kinds:
        named = {user.pk for user in kind.done_by.all()}
        why = []
        if sorts and not sorts & set(kind.place_sorts):
            why.append("no place in use is of a sort where it is held")
        if people and named and not named & people:
            why.append("nobody who does it can sign in any more")
        if why:
            lacks.append(
                Lack(
                    f"“{kind}” can't be booked.",
                    f"{' and '.join(why).capitalize()}.",
                    reverse("kind", args=[kind.pk]),
                    "Change it",
                )
            )
    return lacks
