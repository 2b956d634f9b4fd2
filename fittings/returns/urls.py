"""Addresses of pieces that come back."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.returns import reason_views, views

urlpatterns = [
    path("sales/<reference:reference>/lines/<int:pk>/take-back/", views.return_new, name="return-new"),
    path("returns/", views.returns, name="returns"),
    path("returns/reasons/", reason_views.return_reasons, name="return-reasons"),
    path("returns/reasons/new/", reason_views.return_reason_new, name="return-reason-new"),
    path("returns/reasons/<int:pk>/", reason_views.return_reason, name="return-reason"),
]
