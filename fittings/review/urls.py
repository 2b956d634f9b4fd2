"""Addresses of the owner's review."""

from django.urls import path

from fittings.review import views

urlpatterns = [
    path("review/", views.review, name="review"),
    path("review/rows/", views.review_rows, name="review-rows"),
    path("review/order/", views.review_order, name="review-order"),
    path("review/<slug:table>.csv", views.review_csv, name="review-csv"),
]
