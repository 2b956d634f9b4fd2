"""Addresses of makers' own files, of the catalogue as files, and of what a variant has cost."""

from django.urls import path

from pieces.maker_files import views

urlpatterns = [
    path("pieces/import/maker/", views.maker_file, name="maker-file"),
    path("pieces/export/<slug:kind>.csv", views.catalogue_export, name="catalogue-export"),
    path("variants/<int:pk>/prices/", views.variant_prices, name="variant-prices"),
]
