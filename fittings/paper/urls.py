"""Addresses of the paper in the client's hand: on the screen, and as a PDF."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.paper import views

urlpatterns = [
    path("fittings/<reference:reference>/summary/", views.summary_page, name="consult-summary"),
    path("fittings/<reference:reference>/summary.pdf", views.summary_pdf, name="consult-summary-pdf"),
]
