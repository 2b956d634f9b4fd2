"""Addresses of special orders, of what changes an order, and of what was asked for and not in the drawer."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.special_orders import asked_views, order_views, special_views

urlpatterns = [
    path("clients/<reference:reference>/special-order/", special_views.special_order, name="special-order"),
    path("fittings/<reference:reference>/asked-for/", asked_views.asked_for, name="asked-for"),
    path("orders/<reference:reference>/line/", order_views.maker_order_line, name="maker-order-line"),
    path("orders/<reference:reference>/send/", order_views.maker_order_send, name="maker-order-send"),
    path("orders/<reference:reference>/expect/", order_views.maker_order_expect, name="maker-order-expect"),
    path("orders/<reference:reference>/receive/", order_views.maker_order_receive, name="maker-order-receive"),
    path("orders/<reference:reference>/close/", order_views.maker_order_close, name="maker-order-close"),
    path("orders/<reference:reference>/drop/", order_views.maker_order_drop, name="maker-order-drop"),
]
