from django.apps import AppConfig


class SalonConfig(AppConfig):
    name = "salon"
    verbose_name = "Salon"
