"""Setting a unit aside: for whom, and for which of her visits; or by one press of the unit's page for nobody yet."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.setting_aside.form import SetAsideForm
from pieces.models import Unit
from salon.common.access import needs
from salon.current import SalonRequest


@needs("pieces.add_stockmovement", "clients.view_client")
@require_http_methods(["GET", "POST"])
def unit_reserve(request: SalonRequest, number: str) -> HttpResponse:
    unit = get_object_or_404(Unit.objects.select_related("variant__piece", "variant__shade"), number=number)
    client = client_asked_for(request)
    asked = request.method == "POST"
    if client is None and not asked:
        return ask_who(request, heading=f"Set aside unit {unit.number}", unit=unit)
    form = SetAsideForm(request.POST if asked else None, client=client, reader=request.user, at=now())
    if form.is_valid() and form.set_aside(unit, by=request.user, at=now()):
        messages.success(request, f"Unit {unit.number} is set aside{f' for {client}' if client else ''}.")
        return redirect("unit", unit.number)
    if client is None:
        for sentences in form.errors.values():
            messages.error(request, " ".join(map(str, sentences)))
        return redirect("unit", unit.number)
    context = {"place": "pieces", "unit": unit, "client": client, "form": form}
    return render(request, "fittings/setting_aside/unit.html", context)
