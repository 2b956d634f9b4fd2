"""Every address about a visit; each subject lists its own."""

from django.urls import include, path

urlpatterns = [
    path("", include("fittings.desk.urls")),
    path("", include("fittings.setting_up.urls")),
    path("", include("fittings.house_rules.urls")),
    path("", include("fittings.review.urls")),
    path("", include("fittings.record.urls")),
    path("", include("fittings.skin_tests.urls")),
    path("", include("fittings.consult.urls")),
    path("", include("fittings.choosing.urls")),
    path("", include("fittings.owned.urls")),
    path("", include("fittings.special_orders.urls")),
    path("", include("fittings.till.urls")),
    path("", include("fittings.services.urls")),
    path("", include("fittings.care_pages.urls")),
    path("", include("fittings.paper.urls")),
    path("", include("fittings.timeline.urls")),
    path("", include("fittings.photos.urls")),
    path("", include("fittings.over_time.urls")),
    path("", include("fittings.calendars.urls")),
    path("", include("fittings.messages.urls")),
    path("", include("fittings.waiting_list.urls")),
    path("", include("fittings.returns.urls")),
    path("", include("fittings.setting_aside.urls")),
]
