"""The day by time and place, and the house rules of the owner."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, make_aware
from django.views.decorators.http import require_http_methods, require_safe

from fittings.desk.day import day_by_place
from fittings.desk.day_asked import day_asked_for
from fittings.desk.house_rules import HouseRulesForm
from fittings.models import Appointment
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.view_appointment")
@require_safe
def today(request: SalonRequest) -> HttpResponse:
    day = day_asked_for(request.GET.get("day"), localdate())
    begins = make_aware(datetime.combine(day, time.min))
    ends = make_aware(datetime.combine(day + timedelta(days=1), time.min))
    appointments = list(Appointment.objects.between(begins, ends))
    context = {
        "place": "today",
        "day": day,
        "is_today": day == localdate(),
        "day_before": day - timedelta(days=1),
        "day_after": day + timedelta(days=1),
        "columns": day_by_place(appointments),
        "appointments": appointments,
    }
    return render(request, "fittings/today.html", context)


@needs("fittings.change_houserule")
@require_http_methods(["GET", "POST"])
def house_rules(request: SalonRequest) -> HttpResponse:
    form = HouseRulesForm(request.POST if request.method == "POST" else None, salon=request.salon, user=request.user)
    if form.is_valid():
        changed = form.keep()
        messages.success(request, f"Saved: {', '.join(changed)}." if changed else "Nothing was changed.")
        return redirect("house-rules")
    return render(request, "fittings/house_rules.html", {"form": form})
