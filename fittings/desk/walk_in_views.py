"""Somebody stands at the desk: who is free now, and where she sits down."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from fittings.desk.slot import kind_in
from fittings.desk.times_offered import TimeOffered
from fittings.desk.times_page import upcoming_of
from fittings.desk.told import told_of
from fittings.desk.walk_in_form import WalkInForm
from fittings.desk.who_asked import ask_who, client_asked_for
from fittings.free_times import free_at, nearest_free_times
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.add_appointment")
@require_http_methods(["GET", "POST"])
def walk_in(request: SalonRequest) -> HttpResponse:
    """Who, what for, with whom; a post takes her unless its button only asks who is free."""
    client = client_asked_for(request)
    if client is None:
        return ask_who(request, heading="She sits down now")
    said, at = (request.POST if request.method == "POST" else request.GET), now()
    takes = request.method == "POST" and "show" not in said
    typed = {name: said[name] for name in ("kind", "note") if name in said}
    form = WalkInForm(said if takes else None, initial={} if takes else typed)
    if form.is_valid() and (taken := form.take(client, by=request.user, at=at)):
        messages.success(request, f"She is here: {told_of(taken)}.")
        return redirect("appointment", taken.reference)
    kind = kind_in(said)
    free = free_at(kind=kind, moment=at, client=client) if kind else []
    soon = nearest_free_times(kind=kind, to=at, at=at, client=client) if kind and not free else []
    context = {
        "place": "today",
        "client": client,
        "form": form,
        "kind": kind,
        "upcoming": upcoming_of(client, at),
        "free": free,
        "soon": [TimeOffered(one) for one in soon],
        "here": f"{request.path}?client={client.reference}",
        "by_hand": form.is_bound and ("taken_by" not in said or bool(form.errors)),
    }
    return render(request, "fittings/desk/walk_in.html", context)
