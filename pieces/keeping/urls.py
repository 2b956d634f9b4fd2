"""Addresses on which the catalogue is kept."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from pieces.keeping import base_views, views

urlpatterns = [
    path("makers/", views.makers, name="makers"),
    path("makers/new/", views.maker_new, name="maker-new"),
    path("makers/<int:pk>/", views.maker, name="maker"),
    path("pieces/bases/new/", base_views.base_new, name="base-new"),
    path("pieces/bases/<int:pk>/edit/", base_views.base_edit, name="base-edit"),
    path("pieces/new/", views.piece_new, name="piece-new"),
    path("pieces/<int:pk>/edit/", views.piece_edit, name="piece-edit"),
    path("pieces/<int:pk>/discontinue/", views.piece_discontinue, name="piece-discontinue"),
    path("pieces/<int:pk>/variants/new/", views.variant_new, name="variant-new"),
    path("pieces/<int:pk>/pictures/new/", views.piece_picture_new, name="piece-picture-new"),
    path("pieces/shades/new/", views.shade_new, name="shade-new"),
    path("pieces/shades/<int:pk>/edit/", views.shade_edit, name="shade-edit"),
    path("variants/<int:pk>/edit/", views.variant_edit, name="variant-edit"),
    path("variants/<int:pk>/discontinue/", views.variant_discontinue, name="variant-discontinue"),
    path("piece-pictures/<reference:reference>/remove/", views.piece_picture_remove, name="piece-picture-remove"),
    path("piece-pictures/<reference:reference>/<slug:size>/", views.piece_picture, name="piece-picture"),
]
