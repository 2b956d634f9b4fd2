"""Which units lie ready before a client comes: adds one, takes it off, says that it is laid out; and proposes some.

Only what is in the salon can be laid out, and one unit for one client at a time. Laying out does not set a unit aside:
its state is `pieces.stock`'s.
"""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Case, When
from django.utils.timezone import localtime

from fittings.models import Appointment, Candidate, Fitting, TryOn, UnitToTry
from pieces.models import Unit
from pieces.stock import IN_STOCK
from salon.models import User

_BEFORE_IT_IS_OVER = (Appointment.State.BOOKED, Appointment.State.ARRIVED, Appointment.State.IN_CHAIR)


@transaction.atomic
def add_unit_to_try(*, appointment: Appointment, unit: Unit, by: User, at: datetime) -> UnitToTry:
    """Put a unit on the list of those to lay out; raises ValidationError that says why it can't be."""
    appointment = Appointment.objects.select_for_update().get(pk=appointment.pk)
    if appointment.state not in _BEFORE_IT_IS_OVER:
        raise ValidationError(
            f"This appointment is {appointment.get_state_display().lower()}: nothing is laid out for it."
        )
    unit = Unit.objects.select_for_update().get(pk=unit.pk)
    if unit.state not in IN_STOCK:
        raise ValidationError(f"Unit {unit.number} can't be laid out: it is {unit.get_state_display().lower()}.")
    elsewhere = _needed_elsewhere(unit, appointment)
    if elsewhere:
        raise ValidationError(
            f"Unit {unit.number} lies ready for {elsewhere.client} at {localtime(elsewhere.starts_at):%H:%M}: "
            "choose another, or take it off there."
        )
    to_try = UnitToTry(appointment=appointment, unit=unit, added_by=by, added_at=at)
    to_try.full_clean()
    to_try.save()
    return to_try


@transaction.atomic
def take_unit_off(*, to_try: UnitToTry) -> None:
    """It need not be laid out after all; pressing twice does no harm."""
    UnitToTry.objects.filter(pk=to_try.pk).delete()


@transaction.atomic
def mark_laid_out(*, to_try: UnitToTry, by: User, at: datetime, laid_out: bool = True) -> UnitToTry:
    """Say that it lies ready, or that it does not; raises ValidationError for one that has been taken off."""
    kept = UnitToTry.objects.select_for_update(of=("self",)).select_related("unit").filter(pk=to_try.pk).first()
    if kept is None:
        raise ValidationError("This unit has been taken off the list meanwhile.")
    if laid_out and kept.unit.state not in IN_STOCK:
        raise ValidationError(
            f"Unit {kept.unit.number} can't be laid out: it is {kept.unit.get_state_display().lower()}. "
            "Take it off the list."
        )
    if laid_out != (kept.laid_out_at is not None):
        kept.laid_out_at, kept.laid_out_by = (at, by) if laid_out else (None, None)
        kept.full_clean()
        kept.save()
    return kept


def units_suggested(appointment: Appointment) -> list[Unit]:
    """Units worth laying out, by her last visit: those she tried on, then one of each piece chosen to try.

    Chosen ones first; a unit that was set aside since is among them. What is on the list already, or is not in the
    salon, is left out. Four queries.
    """
    last = Fitting.objects.filter(client=appointment.client_id).order_by("-began_at", "-pk").first()
    if last is None:
        return []
    listed = Unit.objects.filter(pk__in=UnitToTry.objects.filter(appointment=appointment).values("unit"))
    tried = [
        try_on.unit
        for try_on in TryOn.objects.filter(fitting=last, unit__state__in=IN_STOCK)
        .exclude(unit__in=listed)
        .select_related("unit__variant__piece", "unit__variant__shade")
        .order_by(Case(When(outcome=TryOn.Outcome.TRIED, then=1), default=0), "pk")
        if try_on.unit is not None
    ]
    at_hand = {unit.variant_id for unit in [*tried, *listed.only("variant")]}
    variants = Candidate.objects.filter(fitting=last).exclude(variant__in=at_hand).values("variant")
    in_drawer = (
        Unit.objects.in_drawer()
        .filter(variant__in=variants)
        .exclude(pk__in=listed)
        .select_related("variant__piece", "variant__shade")
        .order_by("variant", "-purpose", "number")  # those for trying on before those for sale
    )
    return [*dict.fromkeys(tried), *{unit.variant_id: unit for unit in reversed(in_drawer)}.values()]


def _needed_elsewhere(unit: Unit, appointment: Appointment) -> Appointment | None:
    """An appointment at the same time for which the unit lies ready."""
    return (
        Appointment.objects.filter(state__in=_BEFORE_IT_IS_OVER, units_to_try__unit=unit)
        .overlapping(appointment.starts_at, appointment.ends_at)
        .exclude(pk=appointment.pk)
        .select_related("client")
        .first()
    )
