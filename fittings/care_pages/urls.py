"""Addresses of the care plan: the desk's list, what is pressed on a piece's page, and the client's own address."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.care_pages import due_views, public_views, wash_views

urlpatterns = [
    path("care/", due_views.care_due, name="care-due"),
    path("care/<int:pk>/told/", due_views.care_told, name="care-told"),
    path("owned/<reference:reference>/washed/", wash_views.wash_tell, name="wash-tell"),
    path("owned/<reference:reference>/wash-address/", wash_views.wash_link_new, name="wash-link-new"),
    path("owned/<reference:reference>/wash-address/revoke/", wash_views.wash_link_revoke, name="wash-link-revoke"),
    path("washed/<str:secret>/", public_views.washed, name="washed"),
]
