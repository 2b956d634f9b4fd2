from django.apps import AppConfig


class PiecesConfig(AppConfig):
    name = "pieces"
    verbose_name = "Pieces"
