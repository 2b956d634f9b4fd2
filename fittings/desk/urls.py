"""Addresses of the desk: the day, bookings, and the house rules of the owner."""

from django.urls import path

from fittings.desk import views

urlpatterns = [
    path("today/", views.today, name="today"),
    path("appointments/new/", views.appointment_new, name="appointment-new"),
    path("appointments/<str:reference>/", views.appointment_page, name="appointment"),
    path("appointments/<str:reference>/move/", views.appointment_move, name="appointment-move"),
    path("appointments/<str:reference>/cancel/", views.appointment_cancel, name="appointment-cancel"),
    path("appointments/<str:reference>/mark/", views.appointment_mark, name="appointment-mark"),
    path("house-rules/", views.house_rules, name="house-rules"),
]
