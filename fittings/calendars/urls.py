"""Addresses of calendars: the secret ones that programs read, those who make them, and the file of one appointment."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.calendars import views

urlpatterns = [
    path("calendars/", views.calendar_feeds, name="calendar-feeds"),
    path("calendars/new/", views.calendar_feed_new, name="calendar-feed-new"),
    path("calendars/<int:pk>/revoke/", views.calendar_feed_revoke, name="calendar-feed-revoke"),
    path("calendars/<slug:secret>.ics", views.calendar_feed, name="calendar-feed"),
    path("appointments/<reference:reference>/invitation.ics", views.appointment_ics, name="appointment-ics"),
]
