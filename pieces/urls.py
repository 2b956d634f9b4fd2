"""Addresses of the catalogue and of the drawers."""

from django.urls import include, path

from pieces import views

urlpatterns = [
    path("pieces/", views.pieces, name="pieces"),
    path("pieces/<int:pk>/", views.piece, name="piece"),
    path("pieces/<int:pk>/receive/", views.units_receive, name="units-receive"),
    path("pieces/bases/", views.bases, name="bases"),
    path("pieces/bases/<int:pk>/", views.base, name="base"),
    path("pieces/shades/", views.shades, name="shades"),
    path("", include("pieces.ring.urls")),
    path("", include("pieces.keeping.urls")),
    path("pieces/import/", views.catalogue_import, name="catalogue-import"),
    path("pieces/import/columns/", views.catalogue_columns, name="catalogue-columns"),
    path("pieces/import/example/<slug:kind>.csv", views.catalogue_example, name="catalogue-example"),
    path("", include("pieces.maker_files.urls")),
    path("units/", views.units, name="units"),
    path("", include("pieces.drawers.urls")),
    path("", include("pieces.orders.urls")),
]
