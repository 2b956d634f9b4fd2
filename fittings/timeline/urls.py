"""Addresses of a unit's line and of striking an entry out."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.timeline import views

urlpatterns = [
    path("units/<slug:number>/line/", views.unit_line, name="unit-line"),
    path(
        "clients/<reference:reference>/entries/<slug:kind>/<int:pk>/strike-out/",
        views.entry_strike_out,
        name="entry-strike-out",
    ),
]
