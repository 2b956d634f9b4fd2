"""Addresses of the rules, for whoever reads them, and of the house numbers, which the owner changes."""

from django.urls import path

from fittings.house_rules import rules_views, views

urlpatterns = [
    path("rules/", rules_views.rules, name="rules"),
    path("house-rules/", views.house_rules, name="house-rules"),
    path("house-rules/<slug:key>/", views.house_rule, name="house-rule"),
    path("house-rules/<slug:key>/back/", views.house_rule_back, name="house-rule-back"),
]
