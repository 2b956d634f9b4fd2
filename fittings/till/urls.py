"""Addresses of the till: sales, their money and papers, and what the owner prices."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.till import new_views, receipt_views, sale_views

urlpatterns = [
    path("clients/<reference:reference>/sales/new/", new_views.sale_new, name="sale-new"),
    path("sales/<reference:reference>/", sale_views.sale_page, name="sale"),
    path("sales/<reference:reference>/pay/", sale_views.sale_pay, name="sale-pay"),
    path("sales/<reference:reference>/deposits/<int:pk>/", sale_views.sale_deposit, name="sale-deposit"),
    path("sales/<reference:reference>/hand-over/", sale_views.sale_hand_over, name="sale-hand-over"),
    path("sales/<reference:reference>/give-back/", sale_views.sale_give_back, name="sale-give-back"),
    path("sales/<reference:reference>/cancel/", sale_views.sale_cancel, name="sale-cancel"),
    path("receipts/<int:number>.pdf", receipt_views.receipt_pdf, name="receipt"),
]
