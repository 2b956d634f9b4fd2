"""Addresses of the desk: the day, bookings, and the house rules of the owner."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.desk import booking_views, views

urlpatterns = [
    path("today/", views.today, name="today"),
    path("appointments/new/", booking_views.appointment_new, name="appointment-new"),
    path("appointments/<reference:reference>/", booking_views.appointment_page, name="appointment"),
    path("appointments/<reference:reference>/move/", booking_views.appointment_move, name="appointment-move"),
    path("appointments/<reference:reference>/cancel/", booking_views.appointment_cancel, name="appointment-cancel"),
    path("appointments/<reference:reference>/mark/", booking_views.appointment_mark, name="appointment-mark"),
    path("house-rules/", views.house_rules, name="house-rules"),
]
