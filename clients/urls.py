"""Addresses of finding and keeping clients; the client's own page is among those of `fittings.record`."""

from django.urls import path

from clients import views

urlpatterns = [
    path("clients/", views.clients, name="clients"),
    path("clients/new/", views.client_new, name="client-new"),
    path("clients/<str:reference>/edit/", views.client_edit, name="client-edit"),
    path("clients/<str:reference>/consents/", views.client_consents, name="client-consents"),
    path("clients/<str:reference>/consents/sign/", views.consent_sign, name="consent-sign"),
    path("clients/<str:reference>/consents/withdraw/", views.consent_withdraw, name="consent-withdraw"),
    path("clients/<str:reference>/skin-tests/", views.client_skin_tests, name="client-skin-tests"),
    path("clients/<str:reference>/skin-tests/<int:pk>/read/", views.skin_test_read, name="skin-test-read"),
    path("clients/<str:reference>/looks/", views.client_looks, name="client-looks"),
]
