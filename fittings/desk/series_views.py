"""A series of visits: asked for, shown date by date, then booked all at once or not at all."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localtime, now
from django.views.decorators.http import require_http_methods

from fittings.desk.booking_form import typed_so_far
from fittings.desk.series_form import SeriesForm
from fittings.desk.times_page import upcoming_of
from fittings.desk.told import moment_told
from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.models import Purpose, ServiceKind
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.add_appointment")
@require_http_methods(["GET", "POST"])
def appointment_series(request: SalonRequest) -> HttpResponse:
    """A post shows the dates; with the button under them it books them."""
    client = client_asked_for(request)
    if client is None:
        return ask_who(request, heading="Book a series")
    at, posted = now(), request.method == "POST"
    typed = {} if posted else _to_begin_with() | typed_so_far(request.GET, SeriesForm)
    form = SeriesForm(request.POST if posted else None, client=client, initial=typed)
    valid = form.is_valid()
    if valid and "book" in request.POST and (booked := form.book(by=request.user, at=at)):
        last = localtime(booked[-1].starts_at)
        messages.success(
            request, f"Booked: {len(booked)} visits from {moment_told(booked[0].starts_at)} to {last.day} {last:%B %Y}."
        )
        return redirect("appointment", booked[0].reference)
    dates = form.preview(by=request.user, at=at) if valid else []
    context = {
        "place": "today",
        "client": client,
        "form": form,
        "dates": dates,
        "all_free": all(date.is_free for date in dates),
        "may_pass": all(date.may_pass for date in dates),
        "upcoming": upcoming_of(client, at),
    }
    return render(request, "fittings/desk/series.html", context)


def _to_begin_with() -> dict[str, Any]:
    check_up = ServiceKind.objects.offered().filter(purpose=Purpose.CHECK_UP).first()
    return {"kind": check_up.pk if check_up else None, "every_weeks": 6, "times": 4}
