"""Addresses of finding and keeping clients; the client's own page is among those of `fittings.record`."""

from django.urls import include, path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from clients import consent_views, merge_views, views
from clients.taking_in.views import clients_import

urlpatterns = [
    path("clients/", views.clients, name="clients"),
    path("clients/import/", clients_import, name="clients-import"),
    path("clients/new/", views.client_new, name="client-new"),
    path("clients/phone/", views.client_phone, name="client-phone"),
    path("clients/<reference:reference>/edit/", views.client_edit, name="client-edit"),
    path("clients/<reference:reference>/consents/", consent_views.client_consents, name="client-consents"),
    path("clients/<reference:reference>/consents/sign/", consent_views.consent_sign, name="consent-sign"),
    path("clients/<reference:reference>/consents/withdraw/", consent_views.consent_withdraw, name="consent-withdraw"),
    path("clients/<reference:reference>/looks/", views.client_looks, name="client-looks"),
    path("clients/<reference:reference>/merge/", merge_views.client_merge, name="client-merge"),
    path("merges/<reference:reference>/", merge_views.merge_page, name="merge"),
    path("merges/<reference:reference>/undo/", merge_views.merge_undo, name="merge-undo"),
    path("", include("clients.intake.urls")),
    path("", include("clients.products.urls")),
]
