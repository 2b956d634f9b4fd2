"""Addresses of the paper in the client's hand: on the screen, and as a PDF."""

from django.urls import path

from fittings.paper import views

urlpatterns = [
    path("fittings/<str:reference>/summary/", views.summary_page, name="consult-summary"),
    path("fittings/<str:reference>/summary.pdf", views.summary_pdf, name="consult-summary-pdf"),
]
