"""Addresses of the waiting list, and of refilling a time that came free."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.waiting_list import views

urlpatterns = [
    path("waiting-list/", views.waiting_list, name="waiting-list"),
    path("waiting-list/new/", views.waiting_new, name="waiting-new"),
    path("waiting-list/<reference:reference>/", views.waiting, name="waiting"),
    path("waiting-list/<reference:reference>/book/", views.waiting_book, name="waiting-book"),
    path("waiting-list/<reference:reference>/off/", views.waiting_off, name="waiting-off"),
    path("appointments/<reference:reference>/refill/", views.appointment_refill, name="appointment-refill"),
]
