"""Addresses of the papers in the client's hand: the summary on the screen and as a PDF, all others as PDFs."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.paper import consent_views, record_views, views

urlpatterns = [
    path("fittings/<reference:reference>/summary/", views.summary_page, name="consult-summary"),
    path("fittings/<reference:reference>/summary.pdf", views.summary_pdf, name="consult-summary-pdf"),
    path("clients/<reference:reference>/consents.pdf", consent_views.consents, name="client-consents-paper"),
    path("clients/<reference:reference>/skin-tests.pdf", record_views.skin_test_record_pdf, name="skin-test-record"),
    path("clients/<reference:reference>/services.pdf", record_views.own_hair_record_pdf, name="own-hair-record"),
    path("clients/<reference:reference>/record.pdf", record_views.client_record_pdf, name="client-record"),
    path("owned/<reference:reference>/care-sheet.pdf", record_views.care_sheet_pdf, name="care-sheet"),
    path("owned/<reference:reference>/services.pdf", record_views.service_record_pdf, name="service-record"),
]
