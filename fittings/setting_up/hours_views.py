"""When the salon is open and closed, when its people work, and when they are away."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.keeping_hours import keep_opening_hours, keep_working_hours, remove_closure, remove_time_off
from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from fittings.setting_up.hours_forms import ClosureForm, OpeningWeekForm, TimeOffForm, WorkingWeekForm
from fittings.setting_up.in_the_way import in_closure, in_time_off, outside_opening_hours, outside_working_hours
from fittings.setting_up.shown import away_told, last_change, visits_in_the_way
from salon.common.access import needs
from salon.current import SalonRequest
from salon.models import User

ROWS_A_PAGE = 30
COPIED = "Tuesday to Friday are as Monday is. Nothing is kept until you save."


@needs("fittings.change_openinghours")
@require_http_methods(["GET", "POST"])
def opening_hours(request: SalonRequest) -> HttpResponse:
    """Three buttons: one keeps the week, one copies Monday and keeps nothing, one does without hours."""
    week = list(OpeningHours.objects.all())
    form = OpeningWeekForm(request.POST if request.method == "POST" else None, week=week)
    if request.method == "POST" and "copy" in request.POST:
        form = OpeningWeekForm(week=week, initial=OpeningWeekForm.like_monday(request.POST))
        messages.info(request, COPIED)
    elif request.method == "POST" and "none" in request.POST:
        keep_opening_hours(hours={}, by=request.user)
        messages.success(request, "No opening hours are written down: any hour of any day can be booked.")
        return redirect("opening-hours")
    elif form.is_valid() and (changed := form.keep(by=request.user)) is not None:
        messages.success(request, _kept(changed))
        return redirect("opening-hours")
    context = {
        "form": form,
        "week": week,
        "changed": last_change(OpeningHours.history),
        "page": visits_in_the_way(request, outside_opening_hours(week, now())),
    }
    return render(request, "fittings/setting_up/opening_hours.html", context)


@needs("fittings.view_closure")
@require_safe
def closures(request: SalonRequest) -> HttpResponse:
    """Those to come; the desk reads them, the owner changes them."""
    to_come = Closure.objects.filter(last_day__gte=localdate())
    context = {
        "rows": Paginator(to_come, ROWS_A_PAGE).get_page(request.GET.get("page")),
        "changed": last_change(Closure.history),
    }
    return render(request, "fittings/setting_up/closures.html", context)


@needs("fittings.add_closure")
@require_http_methods(["GET", "POST"])
def closure_new(request: SalonRequest) -> HttpResponse:
    form = ClosureForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep(by=request.user, on=localdate())):
        return _closed(request, kept)
    return render(request, "fittings/setting_up/closure_new.html", {"form": form})


@needs("fittings.change_closure")
@require_http_methods(["GET", "POST"])
def closure_page(request: SalonRequest, pk: int) -> HttpResponse:
    closure = get_object_or_404(Closure, pk=pk)
    form = ClosureForm(request.POST if request.method == "POST" else None, closure=closure)
    if form.is_valid() and (kept := form.keep(by=request.user, on=localdate())):
        return _closed(request, kept)
    context = {
        "closure": closure,
        "form": form,
        "changed": last_change(closure.history),
        "page": visits_in_the_way(request, in_closure(closure, now(), ZoneInfo(request.salon.time_zone))),
    }
    return render(request, "fittings/setting_up/closure.html", context)


@needs("fittings.delete_closure")
@require_POST
def closure_remove(request: SalonRequest, pk: int) -> HttpResponse:
    closure = get_object_or_404(Closure, pk=pk)
    remove_closure(closure=closure, by=request.user)
    messages.success(request, f"“{closure}” is taken away: the salon opens as usual.")
    return redirect("closures")


@needs("fittings.change_workinghours")
@require_http_methods(["GET", "POST"])
def person_hours(request: SalonRequest, pk: int) -> HttpResponse:
    """Three buttons as above."""
    person = get_object_or_404(User, pk=pk)
    week = list(WorkingHours.objects.filter(stylist=person))
    form = WorkingWeekForm(request.POST if request.method == "POST" else None, week=week)
    if request.method == "POST" and "copy" in request.POST:
        form = WorkingWeekForm(week=week, initial=WorkingWeekForm.like_monday(request.POST))
        messages.info(request, COPIED)
    elif request.method == "POST" and "none" in request.POST:
        keep_working_hours(stylist=person, hours={}, by=request.user)
        messages.success(request, f"{person} works whenever the salon is open.")
        return redirect("person-hours", pk)
    elif form.is_valid() and (changed := form.keep(person, by=request.user)) is not None:
        messages.success(request, _kept(changed))
        return redirect("person-hours", pk)
    context = {
        "person": person,
        "form": form,
        "week": week,
        "changed": last_change(WorkingHours.history.filter(stylist=person)),
        "page": visits_in_the_way(request, outside_working_hours(person, week, now())),
    }
    return render(request, "fittings/setting_up/person_hours.html", context)


@needs("fittings.view_timeoff")
@require_safe
def time_off(request: SalonRequest) -> HttpResponse:
    to_come = TimeOff.objects.filter(ends_at__gt=now()).select_related("stylist")
    page = Paginator(to_come, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "place": "today",
        "page": page,
        "rows": [(off, away_told(off)) for off in page],
        "changed": last_change(TimeOff.history),
    }
    return render(request, "fittings/setting_up/time_off.html", context)


@needs("fittings.add_timeoff")
@require_http_methods(["GET", "POST"])
def time_off_new(request: SalonRequest) -> HttpResponse:
    initial: dict[str, Any] = {"stylist": request.GET.get("stylist"), "first_day": localdate()}
    form = TimeOffForm(
        request.POST if request.method == "POST" else None, initial=initial, zone=ZoneInfo(request.salon.time_zone)
    )
    if form.is_valid() and (kept := form.keep(by=request.user, at=now())):
        return _away(request, kept)
    return render(request, "fittings/setting_up/time_off_new.html", {"place": "today", "form": form})


@needs("fittings.change_timeoff")
@require_http_methods(["GET", "POST"])
def time_off_page(request: SalonRequest, pk: int) -> HttpResponse:
    off = get_object_or_404(TimeOff.objects.select_related("stylist"), pk=pk)
    form = TimeOffForm(
        request.POST if request.method == "POST" else None, time_off=off, zone=ZoneInfo(request.salon.time_zone)
    )
    if form.is_valid() and (kept := form.keep(by=request.user, at=now())):
        return _away(request, kept)
    context = {
        "place": "today",
        "off": off,
        "form": form,
        "changed": last_change(off.history),
        "page": visits_in_the_way(request, in_time_off(off, now())),
    }
    return render(request, "fittings/setting_up/time_off_change.html", context)


@needs("fittings.delete_timeoff")
@require_POST
def time_off_remove(request: SalonRequest, pk: int) -> HttpResponse:
    off = get_object_or_404(TimeOff.objects.select_related("stylist"), pk=pk)
    remove_time_off(time_off=off, by=request.user)
    messages.success(request, f"{off.stylist} works as usual then.")
    return redirect("time-off")


def _kept(changed: list[str]) -> str:
    return f"Kept: {', '.join(changed)}." if changed else "Nothing was changed."


def _closed(request: SalonRequest, closure: Closure) -> HttpResponse:
    """To its own page when visits lie in it, which lists them."""
    return _then_look(
        request,
        in_closure(closure, now(), ZoneInfo(request.salon.time_zone)).count(),
        f"“{closure}” is written down.",
        ("closure", closure.pk),
        "closures",
    )


def _away(request: SalonRequest, off: TimeOff) -> HttpResponse:
    visits = in_time_off(off, now()).count()
    return _then_look(request, visits, f"{off.stylist} is away then.", ("time-off-change", off.pk), "time-off")


def _then_look(request: SalonRequest, visits: int, says: str, there: tuple[str, int], else_to: str) -> HttpResponse:
    if visits:
        booked = "1 visit is booked in it" if visits == 1 else f"{visits} visits are booked in it"
        messages.warning(request, f"{says} {booked}: look at each below, nothing was moved.")
        return redirect(*there)
    messages.success(request, f"{says} Nothing is booked in it.")
    return redirect(else_to)
