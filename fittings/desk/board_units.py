"""Which units to lay out: asked for on the appointment's page, ticked there and on the board."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_POST

from fittings.desk.board import answer
from fittings.desk.board_moves import LARGEST, Said
from fittings.laying_out import add_unit_to_try, mark_laid_out, take_unit_off, units_suggested
from fittings.models import Appointment
from pieces.models import Unit
from salon.common.access import needs
from salon.common.htmx import wants_part
from salon.common.references import normalise_reference
from salon.current import SalonRequest
from salon.models import User

PART = "fittings/desk/_units_to_try.html"


def units_to_lay_out(appointment: Appointment) -> dict[str, Any]:
    """What `_units_to_try.html` needs besides the appointment."""
    listed = appointment.units_to_try.select_related("unit__variant__piece", "unit__variant__shade", "laid_out_by")
    return {"units_to_try": list(listed), "suggested": units_suggested(appointment)}


class UnitsForm(forms.Form):
    """One deed a post: a unit added by its `number`, or one of the list, by its key, laid out, put back, taken off."""

    number = forms.CharField(required=False, max_length=40)
    laid_out = forms.IntegerField(required=False, min_value=1, max_value=LARGEST)
    put_back = forms.IntegerField(required=False, min_value=1, max_value=LARGEST)
    take_off = forms.IntegerField(required=False, min_value=1, max_value=LARGEST)

    def do(self, appointment: Appointment, *, by: User, at: datetime) -> str:
        """Do it and say what was done; raises ValidationError with the reason."""
        asked = {name: value for name, value in self.cleaned_data.items() if value} if self.is_valid() else {}
        if len(asked) != 1:
            raise ValidationError("Choose a unit of the list, or write a unit's number.")
        ((deed, value),) = asked.items()
        if deed == "number":
            unit = _unit_numbered(value)
            add_unit_to_try(appointment=appointment, unit=unit, by=by, at=at)
            return f"Unit {unit.number} is to be laid out."
        to_try = appointment.units_to_try.filter(pk=value).select_related("unit").first()
        if to_try is None:
            raise ValidationError("This unit has been taken off the list meanwhile.")
        if deed == "take_off":
            take_unit_off(to_try=to_try)
            return f"Unit {to_try.unit.number} need not be laid out."
        mark_laid_out(to_try=to_try, by=by, at=at, laid_out=deed == "laid_out")
        return f"Unit {to_try.unit.number}: {'laid out' if deed == 'laid_out' else 'not laid out yet'}."


@needs("fittings.change_unittotry")
@require_POST
def appointment_units(request: SalonRequest, reference: str) -> HttpResponse:
    appointment = get_object_or_404(Appointment.objects.select_related("client", "kind"), reference=reference)
    trouble = ""
    try:
        says = UnitsForm(request.POST).do(appointment, by=request.user, at=now())
    except ValidationError as refusal:
        says = trouble = " ".join(refusal.messages)
    if request.POST.get("on") == "board":
        return answer(request, said=Said(reference, says, is_refusal=bool(trouble)))
    if wants_part(request):
        context = {"appointment": appointment, "trouble": trouble, **units_to_lay_out(appointment)}
        return render(request, PART, context)
    (messages.error if trouble else messages.success)(request, says)
    return redirect("appointment", reference)


def _unit_numbered(typed: str) -> Unit:
    try:
        number = normalise_reference(typed)
    except ValueError as error:
        raise ValidationError(str(error)) from error
    unit = Unit.objects.filter(number=number).first()
    if unit is None:
        raise ValidationError(f"There is no unit {number}. The number is on its tag.")
    return unit
