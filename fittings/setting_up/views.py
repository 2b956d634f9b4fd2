"""What there is and what is missing, kinds of visit and places."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_safe

from fittings.free_times import stylists
from fittings.models import Closure, OpeningHours, Place, Purpose, ServiceKind, TimeOff
from fittings.setting_up.forms import KindForm, PlaceForm, start_of_a_kind
from fittings.setting_up.in_the_way import at_place
from fittings.setting_up.missing import what_is_missing
from fittings.setting_up.shown import last_change, visits_in_the_way, week_told
from salon.common.access import needs
from salon.current import SalonRequest
from salon.models import User

CLOSURES_SHOWN = 3


@needs("fittings.change_openinghours", "fittings.change_servicekind", "fittings.change_place")
@require_safe
def setting_up(request: SalonRequest) -> HttpResponse:
    today, moment = localdate(), now()
    context = {
        "missing": what_is_missing(request.salon),
        "kinds": list(ServiceKind.objects.offered()),
        "places": list(Place.objects.in_use()),
        "week": week_told(OpeningHours.objects.all()),
        "closures": list(Closure.objects.filter(last_day__gte=today)[:CLOSURES_SHOWN]),
        "people": list(User.objects.filter(is_active=True).order_by("first_name", "username")),
        "stylists": stylists().count(),
        "away": TimeOff.objects.filter(ends_at__gt=moment).count(),
    }
    return render(request, "fittings/setting_up/setting_up.html", context)


@needs("fittings.change_servicekind")
@require_safe
def kinds(request: SalonRequest) -> HttpResponse:
    every = ServiceKind.objects.prefetch_related("done_by").order_by("-is_offered", "name")
    return render(request, "fittings/setting_up/kinds.html", {"kinds": list(every)})


@needs("fittings.add_servicekind")
@require_http_methods(["GET", "POST"])
def kind_new(request: SalonRequest) -> HttpResponse:
    purpose = request.GET.get("purpose")
    form = KindForm(
        request.POST if request.method == "POST" else None, initial=start_of_a_kind(purpose), salon=request.salon
    )
    if form.is_valid() and (kind := form.keep(by=request.user)):
        messages.success(request, f"“{kind}” can be booked now.")
        return redirect("kinds")
    context = {"form": form, "purposes": Purpose.choices, "purpose": purpose or Purpose.CONSULT.value}
    return render(request, "fittings/setting_up/kind_new.html", context)


@needs("fittings.change_servicekind")
@require_http_methods(["GET", "POST"])
def kind_page(request: SalonRequest, pk: int) -> HttpResponse:
    kind = get_object_or_404(ServiceKind, pk=pk)
    form = KindForm(request.POST if request.method == "POST" else None, kind=kind, salon=request.salon)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"“{kept}” is kept as it stands now. What is booked already stays as it is.")
        return redirect("kinds")
    context = {"kind": kind, "form": form, "changed": last_change(kind.history)}
    return render(request, "fittings/setting_up/kind.html", context)


@needs("fittings.change_place")
@require_safe
def places(request: SalonRequest) -> HttpResponse:
    ahead = Q(appointments__state__in=("booked", "arrived"), appointments__ends_at__gt=now())
    every = Place.objects.annotate(visits=Count("appointments", filter=ahead))
    in_use_first = sorted(every, key=lambda place: not place.is_in_use)
    return render(request, "fittings/setting_up/places.html", {"places": in_use_first})


@needs("fittings.add_place")
@require_http_methods(["GET", "POST"])
def place_new(request: SalonRequest) -> HttpResponse:
    form = PlaceForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} can be booked now.")
        return redirect("places")
    return render(request, "fittings/setting_up/place_new.html", {"form": form})


@needs("fittings.change_place")
@require_http_methods(["GET", "POST"])
def place_page(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Place, pk=pk)
    form = PlaceForm(request.POST if request.method == "POST" else None, place=shown)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is kept as it stands now. What is booked there stays booked.")
        return redirect("place", kept.pk)
    context = {
        "shown": shown,
        "form": form,
        "changed": last_change(shown.history),
        "page": visits_in_the_way(request, at_place(shown, now())),
    }
    return render(request, "fittings/setting_up/place.html", context)
