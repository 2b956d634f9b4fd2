"""Every address of the site: the salon's own, then each app's."""

from django.urls import include, path

from salon import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", views.SignOut.as_view(), name="sign-out"),
    path("settings/", views.my_settings, name="my-settings"),
    path("settings/password/", views.my_password, name="my-password"),
    path("settings/salon/", views.salon_settings, name="salon-settings"),
    path("help/", views.help_page, name="help"),
    path("", include("clients.urls")),
    path("", include("pieces.urls")),
    path("", include("fittings.urls")),
]
