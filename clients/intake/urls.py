"""Addresses of the intake: the client's own page behind a secret, and the salon's page of links and answers."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from clients.intake import public_views, views

urlpatterns = [
    path("clients/<reference:reference>/intake/", views.client_intake, name="client-intake"),
    path("clients/<reference:reference>/intake/hand-over/", views.hand_over, name="intake-hand-over"),
    path("clients/<reference:reference>/intake/link/", views.link_new, name="intake-link-new"),
    path("clients/<reference:reference>/intake/link/<int:pk>/revoke/", views.link_revoke, name="intake-link-revoke"),
    path("intake/<str:secret>/", public_views.intake, name="intake"),
]
