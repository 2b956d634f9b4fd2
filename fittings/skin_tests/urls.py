"""Addresses of a client's skin tests."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.skin_tests import views

urlpatterns = [
    path("clients/<reference:reference>/skin-tests/", views.client_skin_tests, name="client-skin-tests"),
    path("clients/<reference:reference>/skin-tests/<int:pk>/read/", views.skin_test_read, name="skin-test-read"),
    path(
        "clients/<reference:reference>/skin-tests/<int:pk>/strike-out/",
        views.skin_test_strike_out,
        name="skin-test-strike-out",
    ),
]
