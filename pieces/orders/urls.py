"""Addresses of orders to makers that only read; those that change one are in `fittings.special_orders`."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from pieces.orders import views

urlpatterns = [
    path("orders/", views.maker_orders, name="maker-orders"),
    path("orders/new/", views.maker_order_new, name="maker-order-new"),
    path("orders/<reference:reference>/", views.maker_order, name="maker-order"),
    path("orders/<reference:reference>.csv", views.maker_order_csv, name="maker-order-csv"),
]
