"""Addresses of setting up the salon: the owner's, but for time off, which the desk writes down too."""

from django.urls import path

from fittings.setting_up import hours_views, people_views, views

urlpatterns = [
    path("setting-up/", views.setting_up, name="setting-up"),
    path("setting-up/kinds/", views.kinds, name="kinds"),
    path("setting-up/kinds/new/", views.kind_new, name="kind-new"),
    path("setting-up/kinds/<int:pk>/", views.kind_page, name="kind"),
    path("setting-up/places/", views.places, name="places"),
    path("setting-up/places/new/", views.place_new, name="place-new"),
    path("setting-up/places/<int:pk>/", views.place_page, name="place"),
    path("setting-up/opening-hours/", hours_views.opening_hours, name="opening-hours"),
    path("setting-up/closures/", hours_views.closures, name="closures"),
    path("setting-up/closures/new/", hours_views.closure_new, name="closure-new"),
    path("setting-up/closures/<int:pk>/", hours_views.closure_page, name="closure"),
    path("setting-up/closures/<int:pk>/remove/", hours_views.closure_remove, name="closure-remove"),
    path("setting-up/people/", people_views.people, name="people"),
    path("setting-up/people/new/", people_views.person_new, name="person-new"),
    path("setting-up/people/<int:pk>/", people_views.person_page, name="person"),
    path("setting-up/people/<int:pk>/kinds/", people_views.person_kinds, name="person-kinds"),
    path("setting-up/people/<int:pk>/password/", people_views.person_password, name="person-password"),
    path("setting-up/people/<int:pk>/access/", people_views.person_access, name="person-access"),
    path("setting-up/people/<int:pk>/hours/", hours_views.person_hours, name="person-hours"),
    path("time-off/", hours_views.time_off, name="time-off"),
    path("time-off/new/", hours_views.time_off_new, name="time-off-new"),
    path("time-off/<int:pk>/", hours_views.time_off_page, name="time-off-change"),
    path("time-off/<int:pk>/remove/", hours_views.time_off_remove, name="time-off-remove"),
]
