"""Addresses of choosing: candidates, try-ons, the decision and planned services."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.choosing import candidate_views, decision_views, service_views

urlpatterns = [
    path("fittings/<reference:reference>/candidates/", candidate_views.candidates, name="candidates"),
    path("fittings/<reference:reference>/candidates/<int:variant_id>/", candidate_views.candidate, name="candidate"),
    path(
        "fittings/<reference:reference>/candidates/<int:variant_id>/placement/",
        candidate_views.candidate_placement,
        name="candidate-placement",
    ),
    path(
        "fittings/<reference:reference>/candidates/<int:variant_id>/try/",
        candidate_views.candidate_try,
        name="candidate-try",
    ),
    path(
        "fittings/<reference:reference>/to-try/<int:pk>/away/", candidate_views.candidate_untry, name="candidate-untry"
    ),
    path("fittings/<reference:reference>/try-ons/", decision_views.try_ons, name="try-ons"),
    path("fittings/<reference:reference>/try-ons/<int:pk>/log/", decision_views.try_on_log, name="try-on-log"),
    path("fittings/<reference:reference>/decision/", decision_views.decision, name="decision"),
    path("fittings/<reference:reference>/finish/", decision_views.visit_finish, name="visit-finish"),
    path("fittings/<reference:reference>/services/", service_views.services, name="services"),
    path("fittings/<reference:reference>/services/plan/<str:kind>/", service_views.service_plan, name="service-plan"),
    path("fittings/<reference:reference>/services/<int:pk>/away/", service_views.service_remove, name="service-remove"),
]
