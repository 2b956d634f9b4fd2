"""Addresses of a visit's beginning, of its examining steps, and of the assessment they make."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.consult import naming_pattern, photo_views, views, visits, written_before

urlpatterns = [
    path("clients/<reference:reference>/begin/", visits.visit_begin, name="visit-begin"),
    path("fittings/", visits.fittings_page, name="fittings"),
    path("fittings/<reference:reference>/", visits.fitting_page, name="fitting"),
    path("fittings/<reference:reference>/story/", views.story, name="consult-story"),
    path("fittings/<reference:reference>/story/take-over/", written_before.take_over, name="intake-take-over"),
    path("fittings/<reference:reference>/tapes/", views.tapes, name="consult-tapes"),
    path("fittings/<reference:reference>/map/", views.loss_map, name="consult-map"),
    path("scales/<slug:scale>/<str:stage>.svg", naming_pattern.stage_drawing, name="stage-drawing"),
    path("fittings/<reference:reference>/own-hair/", views.own_hair, name="consult-own-hair"),
    path("fittings/<reference:reference>/own-hair/photo/", photo_views.reading_photos, name="reading-photos"),
    path(
        "fittings/<reference:reference>/own-hair/photo/<reference:photo_reference>/",
        photo_views.reading_marks,
        name="reading-marks",
    ),
    path("fittings/<reference:reference>/wishes/", views.wishes, name="consult-wishes"),
    path("fittings/<reference:reference>/sign-off/", views.sign_off_page, name="consult-sign-off"),
    path("assessments/<reference:reference>/", views.assessment_page, name="assessment"),
    path("assessments/<reference:reference>/renew/", views.assessment_renew, name="assessment-renew"),
]
