"""Addresses of the papers in the client's hand: the summary on the screen and as a PDF, and her consents as a PDF."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.paper import consent_views, views

urlpatterns = [
    path("fittings/<reference:reference>/summary/", views.summary_page, name="consult-summary"),
    path("fittings/<reference:reference>/summary.pdf", views.summary_pdf, name="consult-summary-pdf"),
    path("clients/<reference:reference>/consents.pdf", consent_views.consents, name="client-consents-paper"),
]
