"""The address of the client's page; those of her details, consents and skin tests are in `clients.urls`."""

from django.urls import path

from fittings.record import views

urlpatterns = [path("clients/<str:reference>/", views.client_page, name="client")]
