from django.apps import AppConfig


class SalonConfig(AppConfig):
    name = "salon"
    verbose_name = "Salon"

    def ready(self) -> None:
        from salon import checks  # noqa: F401  # importing them registers them
