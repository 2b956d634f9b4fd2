"""Addresses of the till: sales, their money and papers, and what the owner prices."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.till import list_views, new_views, price_views, receipt_views, sale_views, statement_views

urlpatterns = [
    path("clients/<reference:reference>/sales/new/", new_views.sale_new, name="sale-new"),
    path("sales/", list_views.sales, name="sales"),
    path("sales/<reference:reference>/", sale_views.sale_page, name="sale"),
    path("sales/<reference:reference>/pay/", sale_views.sale_pay, name="sale-pay"),
    path("sales/<reference:reference>/deposits/<int:pk>/", sale_views.sale_deposit, name="sale-deposit"),
    path("sales/<reference:reference>/hand-over/", sale_views.sale_hand_over, name="sale-hand-over"),
    path(
        "sales/<reference:reference>/lines/<int:pk>/take-out/",
        sale_views.sale_take_out,
        name="sale-take-out",
    ),
    path("sales/<reference:reference>/give-back/", sale_views.sale_give_back, name="sale-give-back"),
    path("sales/<reference:reference>/cancel/", sale_views.sale_cancel, name="sale-cancel"),
    path("receipts/<int:number>.pdf", receipt_views.receipt_pdf, name="receipt"),
    path("deposits/", list_views.deposits, name="deposits"),
    path("deposits/<int:pk>/give-back/", list_views.deposit_back, name="deposit-back"),
    path("clients/<reference:reference>/deposits/new/", list_views.deposit_new, name="deposit-new"),
    path("clients/<reference:reference>/statement/", statement_views.statement, name="statement"),
    path("clients/<reference:reference>/statement.pdf", statement_views.statement_pdf, name="statement-pdf"),
    path("price-list/", price_views.price_list, name="price-list"),
    path("price-list/new/", price_views.priced_service_new, name="priced-service-new"),
    path("price-list/<int:pk>/", price_views.priced_service, name="priced-service"),
    path("tax-rates/", price_views.tax_rates, name="tax-rates"),
    path("tax-rates/new/", price_views.tax_rate_new, name="tax-rate-new"),
    path("tax-rates/<int:pk>/", price_views.tax_rate, name="tax-rate"),
]
