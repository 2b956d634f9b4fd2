"""Addresses of the ring's photos, of reading them, and of what both ways of reading tell."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from pieces.ring import views

urlpatterns = [
    path("pieces/shades/photos/", views.ring_photos, name="ring-photos"),
    path("pieces/shades/photos/take/", views.ring_photo_take, name="ring-photo-take"),
    path("pieces/shades/photos/<reference:reference>/", views.ring_photo, name="ring-photo"),
    path("pieces/shades/photos/<reference:reference>/remove/", views.ring_photo_remove, name="ring-photo-remove"),
    path("pieces/shades/photos/<reference:reference>/<slug:size>/", views.ring_photo_file, name="ring-photo-file"),
    path("pieces/shades/both-ways/", views.ring_both_ways, name="ring-both-ways"),
]
