"""Addresses of the messages: the log and what a person settles in it, and the client's way to stop them."""

from django.urls import path

from fittings.messages import views

urlpatterns = [
    path("messages/", views.log, name="messages"),
    path("messages/<int:pk>/settle/", views.settle_one, name="message-settle"),
    path("messages/<int:pk>/again/", views.again, name="message-again"),
    path("stop-messages/<str:token>/", views.stop_messages, name="stop-messages"),
]
