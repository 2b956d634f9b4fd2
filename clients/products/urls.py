"""Addresses of the salon's products."""

from django.urls import path

from clients.products import views

urlpatterns = [
    path("products/", views.products, name="products"),
    path("products/new/", views.product_new, name="product-new"),
    path("products/<int:pk>/", views.product_page, name="product"),
]
