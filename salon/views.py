"""Signing in and out, where each role lands, and the settings of a person and of the salon."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from salon.common.access import needs
from salon.current import SalonRequest
from salon.demo.people import PEOPLE
from salon.forms import MyPasswordForm, MySettingsForm, SalonForm, SignInForm


class SignIn(LoginView):
    authentication_form = SignInForm
    template_name = "registration/login.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        people = PEOPLE if settings.DEMO else ()
        return super().get_context_data(demo_people=people, **kwargs)


class SignOut(LogoutView):
    """By POST alone, so that no link can sign anybody out."""


@require_safe
def home(request: SalonRequest) -> HttpResponse:
    """The stylist lands on her next client, everybody else on the day."""
    if request.user.has_perm("fittings.add_fitting") and not request.user.has_perm("fittings.pass_stop"):
        return redirect("fittings")
    return redirect("today")


@require_http_methods(["GET", "POST"])
def my_settings(request: SalonRequest) -> HttpResponse:
    form = MySettingsForm(request.POST or None, instance=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, "Your settings are saved.")
        return redirect("my-settings")
    return render(request, "salon/my_settings.html", {"form": form})


@require_http_methods(["GET", "POST"])
def my_password(request: SalonRequest) -> HttpResponse:
    """The first one was chosen by an owner, who knows it."""
    form = MyPasswordForm(request.user, request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep()):
        update_session_auth_hash(request, kept)  # she stays signed in here, and nowhere else
        messages.success(request, "Your password is changed. Other devices are signed out.")
        return redirect("my-settings")
    return render(request, "salon/my_password.html", {"form": form})


@needs("salon.change_salon")
@require_http_methods(["GET", "POST"])
def salon_settings(request: SalonRequest) -> HttpResponse:
    form = SalonForm(request.POST or None, instance=request.salon)
    if form.is_valid():
        form.save()
        messages.success(request, "The salon's details are saved.")
        return redirect("salon-settings")
    return render(request, "salon/salon_settings.html", {"form": form})


@require_safe
def help_page(request: SalonRequest) -> HttpResponse:
    return render(request, "salon/help.html")
