"""Addresses of a visit's beginning, of its examining steps, and of the assessment they make."""

from django.urls import path

from fittings.consult import views, visits

urlpatterns = [
    path("clients/<str:reference>/begin/", visits.visit_begin, name="visit-begin"),
    path("fittings/", visits.fittings_page, name="fittings"),
    path("fittings/<str:reference>/", visits.fitting_page, name="fitting"),
    path("fittings/<str:reference>/story/", views.story, name="consult-story"),
    path("fittings/<str:reference>/tapes/", views.tapes, name="consult-tapes"),
    path("fittings/<str:reference>/map/", views.loss_map, name="consult-map"),
    path("fittings/<str:reference>/own-hair/", views.own_hair, name="consult-own-hair"),
    path("fittings/<str:reference>/wishes/", views.wishes, name="consult-wishes"),
    path("fittings/<str:reference>/sign-off/", views.sign_off_page, name="consult-sign-off"),
    path("assessments/<str:reference>/", views.assessment_page, name="assessment"),
    path("assessments/<str:reference>/renew/", views.assessment_renew, name="assessment-renew"),
]
