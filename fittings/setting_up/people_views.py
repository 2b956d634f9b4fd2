"""Who can sign in, in which role, what she does, her password and her access."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.free_times import stylists
from fittings.models import TimeOff, WorkingHours
from fittings.setting_up.in_the_way import of_stylist
from fittings.setting_up.people_forms import HerKindsForm, NewPersonForm, PasswordForm, PersonForm
from fittings.setting_up.shown import away_told, people_told, visits_in_the_way, week_told
from salon.common.access import needs
from salon.current import SalonRequest
from salon.making_users import end_access, give_back_access
from salon.models import User

CHANGES_SHOWN = 6


@needs("salon.view_user")
@require_safe
def people(request: SalonRequest) -> HttpResponse:
    return render(request, "fittings/setting_up/people.html", {"rows": people_told()})


@needs("salon.add_user")
@require_http_methods(["GET", "POST"])
def person_new(request: SalonRequest) -> HttpResponse:
    form = NewPersonForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (made := form.keep(by=request.user)):
        messages.success(request, f"{made} can sign in as {made.get_username()}. Tell her the password yourself.")
        return redirect("person", made.pk)
    return render(request, "fittings/setting_up/person_new.html", {"form": form})


@needs("salon.change_user")
@require_http_methods(["GET", "POST"])
def person_page(request: SalonRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    form = PersonForm(request.POST if request.method == "POST" else None, person=person)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept}: kept.")
        return redirect("person", pk)
    return _page_of(request, person, form=form)


@needs("salon.change_user", "fittings.change_servicekind")
@require_POST
def person_kinds(request: SalonRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(stylists(), pk=pk)
    form = HerKindsForm(request.POST, person=person)
    if form.is_valid() and (changed := form.keep(by=request.user)) is not None:
        says = f"Changed: {', '.join(str(kind) for kind in changed)}." if changed else "Nothing was changed."
        messages.success(request, says)
        return redirect("person", pk)
    return _page_of(request, person, kinds_form=form)


@needs("salon.change_user")
@require_POST
def person_password(request: SalonRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    form = PasswordForm(request.POST, person=person)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        if kept == request.user:
            update_session_auth_hash(request, kept)  # she stays signed in here, and nowhere else
        messages.success(request, f"{kept} signs in by the new password from now on. Tell it to her yourself.")
        return redirect("person", pk)
    return _page_of(request, person, password_form=form)


@needs("salon.change_user")
@require_POST
def person_access(request: SalonRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    try:
        match request.POST.get("access"):
            case "end":
                end_access(user=person, by=request.user)
                messages.success(request, f"{person} can sign in no more. Her name stays on what she did.")
            case "give back":
                give_back_access(user=person, by=request.user)
                messages.success(request, f"{person} can sign in again, by the password she had.")
            case _:
                messages.error(request, "Choose whether her access ends or is given back.")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("person", pk)


def _page_of(request: SalonRequest, person: User, **forms: Any) -> HttpResponse:
    """Her page, with the form that was sent where one was refused."""
    away = TimeOff.objects.filter(stylist=person, ends_at__gt=now())
    holds_visits = stylists().filter(pk=person.pk).exists()
    context = {
        "person": person,
        "is_herself": person == request.user,
        "holds_visits": holds_visits,
        "form": forms.get("form") or PersonForm(person=person),
        "kinds_form": forms.get("kinds_form") or (HerKindsForm(person=person) if holds_visits else None),
        "password_form": forms.get("password_form") or PasswordForm(person=person),
        "week": week_told(WorkingHours.objects.filter(stylist=person)),
        "away": [(off, away_told(off)) for off in away[:CHANGES_SHOWN]],
        "changes": person.access_changes.select_related("by")[:CHANGES_SHOWN],
        "page": visits_in_the_way(request, of_stylist(person, now())),
    }
    return render(request, "fittings/setting_up/person.html", context)
