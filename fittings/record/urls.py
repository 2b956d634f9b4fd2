"""The address of the client's page; those of her details, consents and skin tests are in `clients.urls`."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.record import views

urlpatterns = [path("clients/<reference:reference>/", views.client_page, name="client")]
