"""Addresses of units, of their labels and what those lead to, and of stocktakes."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from pieces.drawers import label_views, stocktake_views, unit_views
from pieces.drawers.moves import MOVES

urlpatterns = [
    path("u/<slug:number>/", unit_views.label, name="label"),
    path("units/labels/", label_views.labels, name="labels"),
    path("units/labels.pdf", label_views.labels_pdf_file, name="labels-pdf"),
    path("units/<slug:number>/", unit_views.unit, name="unit"),
    path("units/<slug:number>/purpose/", unit_views.unit_purpose, name="unit-purpose"),
    *[path(f"units/<slug:number>/{move.slug}/", unit_views.moving(move), name=move.name) for move in MOVES],
    path("stocktakes/", stocktake_views.stocktakes, name="stocktakes"),
    path("stocktakes/new/", stocktake_views.stocktake_new, name="stocktake-new"),
    path("stocktakes/<reference:reference>/", stocktake_views.stocktake, name="stocktake"),
    path("stocktakes/<reference:reference>/count/", stocktake_views.stocktake_count, name="stocktake-count"),
    path(
        "stocktakes/<reference:reference>/put-right/", stocktake_views.stocktake_put_right, name="stocktake-put-right"
    ),
    path("stocktakes/<reference:reference>/finish/", stocktake_views.stocktake_finish, name="stocktake-finish"),
]
