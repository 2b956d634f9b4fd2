"""What do the rules say of a visit that is booked, for who may see health facts?

Of the client herself as she will be that day, and of what the kind of visit does to her: colour or tape on her skin,
as its two ticks say. A booking says nothing yet about a piece, so nothing is asked about one; a colour is taken as one
that can cause allergies, because that is the one to be ready for. What the desk is told instead is `readiness`'s.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from django.utils.timezone import localdate

from clients.models import Assessment
from fittings.candidates import ABOUT_CLIENT, rule_book
from fittings.models import Appointment, HouseRule, ServiceKind
from fittings.plan_facts import client_facts, health_facts
from fittings.rules.engine import NOTHING_PLANNED, Finding, Plan
from fittings.rules.wording import Units
from salon.models import Salon

_STILL_TO_COME: Final = (Appointment.State.BOOKED, Appointment.State.ARRIVED, Appointment.State.IN_CHAIR)
_COLOUR: Final = {"planned_colour": "oxidative", "colour_on": "own hair", "colour_touches_skin": True}
_TAPE: Final = {"planned_fixing": ["tape"]}


def findings_of_visit(appointment: Appointment, *, salon: Salon, units: Units) -> tuple[Finding, ...]:
    """Stops first, in a fixed number of queries; nothing for one that is over or cancelled.

    Call with `client` and `kind` fetched. Without a signed-off assessment what was never told is unknown, and is asked.
    """
    if appointment.state not in _STILL_TO_COME:
        return ()
    client, day, numbers = appointment.client, localdate(appointment.starts_at), HouseRule.objects.current()
    assessed = Assessment.objects.signed_off().filter(client=client).first() or Assessment(client=client)
    health = health_facts(client, at=appointment.starts_at, numbers=numbers)
    known = client_facts(client, assessed, health, salon, on=day)
    plan = Plan({**known, **NOTHING_PLANNED, **planned_by(appointment.kind)})
    return rule_book().check(plan, numbers, on=day, about=("service", *ABOUT_CLIENT), units=units)


def planned_by(kind: ServiceKind) -> Mapping[str, object]:
    """What a kind of visit does to her skin, under the rules' names."""
    return {**(_COLOUR if kind.needs_colour_test else {}), **(_TAPE if kind.needs_tape_test else {})}
