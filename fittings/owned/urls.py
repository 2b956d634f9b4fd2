"""Addresses of the pieces clients own, and of units that are lent."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.owned import new_views, piece_views

urlpatterns = [
    path("clients/<reference:reference>/pieces/new/", new_views.owned_new, name="owned-new"),
    path("owned/<reference:reference>/", piece_views.owned_piece, name="owned-piece"),
]
