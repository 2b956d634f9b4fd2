"""Addresses of services that were done: logging one, doing a planned one, correcting one, and strand tests."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.services import strand_views, views

urlpatterns = [
    path("fittings/<reference:reference>/log/<str:kind>/", views.service_log, name="service-log"),
    path("fittings/<reference:reference>/services/<int:pk>/done/", views.service_done, name="service-done"),
    path("fittings/<reference:reference>/services/<int:pk>/correct/", views.service_correct, name="service-correct"),
    path("owned/<reference:reference>/strand-test/", strand_views.strand_test, name="strand-test"),
]
