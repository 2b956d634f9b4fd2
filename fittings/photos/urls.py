"""Addresses of a client's photos: all of them, one set, one photo and its files."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.photos import comparing, photo_views, taking, turning, views

urlpatterns = [
    path("clients/<reference:reference>/photos/", views.photos, name="photos"),
    path("clients/<reference:reference>/photos/new/", views.photo_set_new, name="photo-set-new"),
    path("clients/<reference:reference>/photos/compare/", comparing.photos_compare, name="photos-compare"),
    path("photo-sets/<reference:reference>/", views.photo_set_page, name="photo-set"),
    path("photo-sets/<reference:reference>/take/", taking.photo_take, name="photo-take"),
    path("photo-sets/<reference:reference>/turn/", turning.photos_turn, name="photos-turn"),
    path("photos/<reference:reference>/", photo_views.photo_page, name="photo"),
    path("photos/<reference:reference>/refile/", photo_views.photo_refile, name="photo-refile"),
    path("photos/<reference:reference>/show-outside/", photo_views.photo_show_outside, name="photo-show-outside"),
    path("photos/<reference:reference>/keep-inside/", photo_views.photo_keep_inside, name="photo-keep-inside"),
    path("photos/<reference:reference>/remove/", photo_views.photo_remove, name="photo-remove"),
    path("photos/<reference:reference>/<slug:size>/", photo_views.photo_file, name="photo-file"),
]
