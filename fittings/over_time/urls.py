"""Addresses of a client's hair over time, and of heads painted twice."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.over_time import hair_views, repainting_views

urlpatterns = [
    path("clients/<reference:reference>/hair/", hair_views.hair_over_time, name="hair-over-time"),
    path("clients/<reference:reference>/hair/compare/", hair_views.hair_compare, name="hair-compare"),
    path("repaintings/", repainting_views.repaintings, name="repaintings"),
    path("repaintings/new/", repainting_views.repainting_new, name="repainting-new"),
    path("repaintings/<reference:reference>/", repainting_views.repainting, name="repainting"),
    path("repaintings/<reference:reference>/drop/", repainting_views.repainting_drop, name="repainting-drop"),
]
