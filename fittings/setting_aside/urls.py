"""The address under which a unit is set aside for a client or for a visit of hers."""

from django.urls import path

from fittings.setting_aside import views

urlpatterns = [path("units/<slug:number>/reserve/", views.unit_reserve, name="unit-reserve")]
